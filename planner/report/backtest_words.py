"""A look back in plain sentences: what the model gets right and wrong, and how sure that is.

In: a ``Backtest``. Out: one answer a question. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from planner.fit.backtest import Backtest
from planner.fit.judged import LEAST_WEEKS, LEAST_WORLDS, Inside, Judged
from planner.report.month_phrases import day_of
from planner.report.phrases import counted, joined
from planner.report.units import Reader, number
from planner.study.intervals import Interval

ESTIMATES_NAMED: Final = 8
"""So many estimates are named; the rest is counted."""
MATTERS_KG: Final = 1.0
"""A balance that is less off than this is what scales are off (assumed)."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One question and what looking back says."""

    key: str
    question: str
    said: str
    further: tuple[str, ...]


QUESTIONS: Final = {
    "amounts": "Does the model say what happened?",
    "sureness": "Is it as sure as it should be?",
    "last": "Is it better than “same as last month”?",
    "mend": "What to mend or write down",
}

_MEND: Final = {
    ("pickups", "above"): "You fetched more than it says: how fast your shops fill buckets (`supply`), how often you "
    "drive (`fetching.every`), or shops that it does not know; write every visit into pickups, those in vain too.",
    ("pickups", "below"): "You fetched less than it says: how fast your shops fill buckets (`supply`), how often you "
    "drive (`fetching.every`), or a shop that stopped giving; write every visit into pickups, those in vain too.",
    ("melts", "above"): "You were more at the pot, or more came out of it, than it says: your free hours "
    "(`owner.hours`), the weather you melt in (`melting.most_wind`, `melting.coldest`), or the burner "
    "(`melting.burner`); write fuel, air and wind of each melt.",
    ("melts", "below"): "You were less at the pot, or less came out of it, than it says: your free hours "
    "(`owner.hours`), the weather you melt in (`melting.most_wind`, `melting.coldest`), or the burner "
    "(`melting.burner`); write fuel, air and wind of each melt.",
    ("sales", "above"): "You sold more than it says: how many ask and how often (`demand`), what they would pay, or "
    "your price (`pricing`); write who bought, and each month how many asked and did not buy.",
    ("sales", "below"): "You sold less than it says: how many ask and how often (`demand`), what they would pay, or "
    "your price (`pricing`); write who bought, and each month how many asked and did not buy.",
    ("hours", "above"): "It took you more hours than it says: minutes of a sale, a stop, setting up and cleaning up; "
    "write each spell of your time into hours.",
    ("hours", "below"): "It took you fewer hours than it says: minutes of a sale, a stop, setting up and cleaning up; "
    "write each spell of your time into hours.",
    ("asked", "above"): "More people asked and did not buy than it says: what they would pay (`demand`), or your stock; "
    "write whether it was too dear or there was nothing.",
    ("asked", "below"): "Fewer people asked and did not buy than it says: what they would pay (`demand`), or how many "
    "ask; write down everybody who asks.",
}
"""What to look at, by table and by whether more or less happened than was foretold."""


def reader_of(found: Backtest) -> Reader:
    """Whom its numbers are written for."""
    return Reader(found.currency, found.units, "in all")


def amount(value: float, one: Judged, reader: Reader) -> str:
    """An amount of a figure with its unit."""
    if one.unit == "currency":
        return reader.money(value)
    if one.unit == "kg":
        return f"{reader.mass(value, 0)} {reader.mass_unit}"
    return number(value) if not one.unit else f"{number(value)} {one.unit}"


def answers(found: Backtest) -> tuple[Answer, ...]:
    """Every question in order."""
    said = {"amounts": _amounts(found), "sureness": _sureness(found), "last": _last(found), "mend": _mend(found)}
    return tuple(
        Answer(key, QUESTIONS[key], first, tuple(further)) for key, (first, *further) in said.items()
    )


def cannot_tell(found: Backtest) -> str:
    """Why nothing is claimed; empty where something may be."""
    if not found.judged:
        return "Cannot be told: no figure could be held against what happened."
    if found.weeks < LEAST_WEEKS:
        return f"Cannot be told: {counted(found.weeks, 'week')} are too few, {LEAST_WEEKS} are the least."
    if found.worlds < LEAST_WORLDS:
        return f"Cannot be told: {counted(found.worlds, 'world')} are too few, {LEAST_WORLDS} are the least."
    return ""


def _amounts(found: Backtest) -> Sequence[str]:
    reader = reader_of(found)
    each = tuple(_told(one, reader) for one in found.judged)
    if why := cannot_tell(found):
        return (why, *each)
    more = [one for one in found.judged if one.total == "above"]
    less = [one for one in found.judged if one.total == "below"]
    rest = [one for one in found.judged if one.total == "agrees"]
    agrees, open_ = ([one for one in rest if one.is_open is way] for way in (False, True))
    parts = []
    if less:
        parts.append(f"It says too much of {_off(less, reader)}.")
    if more:
        parts.append(f"It says too little of {_off(more, reader)}.")
    if agrees:
        parts.append(
            f"{'Right' if not parts else 'Of the rest it is right'}, as far as {counted(found.weeks, 'week')} can tell: "
            f"{_labels(agrees)}."
        )
    if open_:
        parts.append(f"Hardly to be told, since it leaves much open: {_labels(open_)}.")
    return (" ".join(parts), *each)


def _labels(those: Iterable[Judged]) -> str:
    return joined([one.label for one in those])


def _off(those: Sequence[Judged], reader: Reader) -> str:
    return joined(
        [f"{one.label} (by {amount(abs(one.foretold - one.happened), one, reader)})" for one in those]
    )


def _told(one: Judged, reader: Reader) -> str:
    """What was foretold of a figure and what happened."""
    low, foretold, high = (amount(value, one, reader) for value in (one.low, one.foretold, one.high))
    less = one.foretold > one.happened
    off = f"{amount(abs(one.off), one, reader)} a {one.period} {'less' if less else 'more'} than it says"
    return (
        f"{one.label.capitalize()}: {amount(one.happened, one, reader)}; it says {foretold}, between {low} and {high} "
        f"nine times in ten; {off}."
    )


def _sureness(found: Backtest) -> Sequence[str]:
    whole = found.together.weeks
    each = tuple(_inside(one) for one in found.judged)
    if not whole.of:
        return ("Cannot be told: nothing is counted by week.", *each)
    counts = (
        f"{number(whole.number)} of {number(whole.of)} weekly figures ({number(100 * whole.number / whole.of)} %) lie in "
        f"the band that holds eight worlds of ten; if the model were right it would be {_expected(whole)}"
    )
    why = cannot_tell(found)
    if why:
        return (f"{why} {counts}.", *each)
    verdict = {
        "agrees": "As sure as it should be, as far as can be told:",
        "above": "Not sure enough: weeks differ less from what it says than it allows for:",
        "below": "Too sure: weeks differ more from what it says than it allows for:",
    }[found.together.sureness]
    off = any(one.total != "agrees" for one in found.judged)
    reason = (
        " That may be because of the amounts that it gets wrong."
        if off and found.together.sureness == "below"
        else ""
    )
    return (f"{verdict} {counts}.{reason}", *each)


def _expected(inside: Inside) -> str:
    low, high = number(inside.expected_low), number(inside.expected_high)
    return low if low == high else f"{low} to {high}"


def _inside(one: Judged) -> str:
    """Weeks of a figure inside its band, and what they add up to."""
    weeks, sums = one.weeks, one.sums
    beyond = [
        f"{number(count)} {side}" for count, side in ((weeks.above, "above it"), (weeks.below, "below it")) if count
    ]
    outside = f", {joined(beyond)}" if beyond else ""
    return (
        f"{one.label.capitalize()}: {number(weeks.number)} of {counted(weeks.of, one.period)} inside the band{outside} "
        f"({_expected(weeks)} if right); added up from the first on, {number(sums.number)} ({_expected(sums)} if right)."
    )


def _last(found: Backtest) -> Sequence[str]:
    whole = found.together.skill
    how = (
        "Compared by a score of how far what happened lay from what was foretold, which counts being sure only where it "
        "is right (continuous ranked probability score); “same as last month” foretells that each week is like one of "
        "the four before."
    )
    if whole.mean != whole.mean:
        return ("Cannot be told: nothing that is counted by week ever differs from the last month.", how)
    why = cannot_tell(found)
    by_week = [one for one in found.judged if one.period == "week" and one.skill.mean == one.skill.mean]
    if why:
        return (f"{why} In these weeks its score was {_better(whole)}.", how)
    groups = {
        "Surely better": [one for one in by_week if one.skill.low > 0.0],
        "Surely worse": [one for one in by_week if one.skill.high < 0.0],
    }
    known = [one for those in groups.values() for one in those]
    groups["Cannot be told"] = [one for one in by_week if one not in known]
    each = [
        f"{words}, each by itself: {joined([f'{one.label} ({_per_cent(one.skill.mean)})' for one in those])}."
        for words, those in groups.items()
        if those
    ]
    if whole.low > 0.0:
        said = f"Yes: over all figures its score is {_better(whole)} ({_range(whole)})."
    elif whole.high < 0.0:
        said = f"No: over all figures its score is {_better(whole)} ({_range(whole)})."
    else:
        said = f"Cannot be told: over all figures its score is {_better(whole)}, but that is no more than chance brings "
        said += f"({_range(whole)})."
    return (said, *each, how)


def _better(skill: Interval) -> str:
    share = round(100.0 * abs(skill.mean))
    return "the same" if not share else f"{share} % {'better' if skill.mean > 0.0 else 'worse'}"


def _range(skill: Interval) -> str:
    return f"from {_per_cent(skill.low)} to {_per_cent(skill.high)}"


def _per_cent(share: float) -> str:
    per_cent = round(100.0 * share)
    return "0 %" if not per_cent else f"{abs(per_cent)} % {'better' if share > 0.0 else 'worse'}"


def _mend(found: Backtest) -> Sequence[str]:
    told = [] if cannot_tell(found) else list(_to_mend(found.judged))
    further = list(_to_write(found))
    if told:
        return (*told, *further)
    if cannot_tell(found):
        return ("Keep on writing, and look back again when there are more weeks.", *further)
    return ("Nothing that these records show.", *further)


def _to_mend(judged: Iterable[Judged]) -> Iterator[str]:
    """Each table once."""
    wrong = {(one.table, one.total): one for one in judged if one.total != "agrees"}
    for table, side in wrong:
        yield _MEND[table, side]


def _to_write(found: Backtest) -> Iterator[str]:
    """What is not judged, and why."""
    if found.not_kept:
        yield f"Not judged, for no such table is kept: {joined(found.not_kept)}."
    for table, day in found.begun_late:
        yield f"Not judged: {table} begins only on {day_of(day.isoformat())}, after the first part."
    open_ = [one for one in found.judged if one.is_open and one.total == "agrees"]
    if open_:
        yield f"More weeks would tell more of {_labels(open_)}."


def minds(found: Backtest) -> tuple[str, ...]:
    """What keeps it from being taken at its word."""
    return tuple(_minds(found))


def _minds(found: Backtest) -> Iterator[str]:
    since = _day(found.second_from)
    for table in found.ended:
        yield (
            f"Mind: nothing is written in {table} from {since} on. If you only stopped writing, what is said of it is wrong."
        )
    if found.stood.below_nothing_kg >= MATTERS_KG:
        reader = reader_of(found)
        yield (
            f"Mind: until {since} {reader.mass(found.stood.below_nothing_kg, 0)} {reader.mass_unit} more went out than came "
            "in: something was not written down, or the scenario's opening stock is too small."
        )
    if found.failed:
        yield (
            f"Mind: {number(found.failed)} of {counted(found.failed + found.worlds, 'world')} have no result, and do not "
            f"count: {found.failure}."
        )


def starts_from(found: Backtest) -> tuple[str, ...]:
    """Which days, what was fitted, what was there on the day that parts them."""
    reader, stood = reader_of(found), found.stood
    by = [
        f"{reader.mass(kg, 0)} {reader.mass_unit} of {name} "
        f"({'by the records' if name in stood.reckoned else 'as the scenario says'})"
        for name, kg in (("ingots", stood.ingots_kg), ("weights", stood.weights_kg))
    ]
    grown = [f"{known} of the {name} know of you by then" for name, known in stood.buyers]
    if stood.shops:
        grown.insert(0, f"found by then: {joined(stood.shops)}")
    return (
        f"Fitted on {_day(found.first_from)} to {_day(found.first_until)}: {_estimates(found.estimates)}.",
        f"Judged on {_day(found.second_from)} to {_day(found.second_until)}, {counted(found.weeks, 'week')}, in "
        f"{counted(found.worlds, 'world')}.",
        f"It starts with {joined(by)}, and with cash as the scenario says.{_sentence(grown)}",
    )


def _sentence(parts: Sequence[str]) -> str:
    text = "; ".join(parts)
    return f" {text[0].upper()}{text[1:]}." if text else ""


def _estimates(names: Sequence[str]) -> str:
    if not names:
        return "nothing was estimated, so it is the scenario as it is written"
    rest = len(names) - ESTIMATES_NAMED
    shown = [*names[:ESTIMATES_NAMED], *([f"{rest} more"] if rest > 0 else [])]
    return f"{counted(len(names), 'estimate')} ({joined(shown)})"


def _day(day: date) -> str:
    return day_of(day.isoformat())


def read_as(found: Backtest) -> str:
    """How far its claims go."""
    return (
        f"A figure is called wrong where what happened is further from the middle of the worlds than any figure is in "
        f"{number(100 * found.confidence)} of 100 worlds held against the others: of a right model, so much is called "
        f"wrong in {number(100 * (1 - found.confidence))} looks back of 100. What is called right may still be wrong by "
        "less than these weeks can show. What the days of the second part were like is not used: the weather in them "
        "is the model's."
    )
