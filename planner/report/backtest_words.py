"""A look back in plain sentences: what the model gets right and wrong, and how sure that is.

In: a ``Backtest``. Out: one answer a question. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from planner.fit.backtest import Backtest
from planner.fit.judged import LEAST_WEEKS, LEAST_WORLDS, Inside, Judged
from planner.fit.scores import BLOCK_WEEKS, LEAST_BLOCKS
from planner.report.answer import Answer
from planner.report.backtest_mend import to_mend, to_write
from planner.report.phrases import beginning, counted, joined
from planner.report.units import Reader, number
from planner.study.intervals import Interval

QUESTIONS: Final = {
    "amounts": "Does the model say what happened?",
    "sureness": "Is it as sure as it should be?",
    "last": "Is it better than “same as last month”?",
    "mend": "What to mend or write down",
}


def reader_of(found: Backtest) -> Reader:
    """Whom its numbers are written for."""
    return Reader(found.currency, found.units, "in all")


def amount(value: float, one: Judged, reader: Reader, decimals: int = 0) -> str:
    """An amount of a figure with its unit."""
    if one.unit == "currency":
        return reader.money(value, decimals)
    if one.unit == "kg":
        return f"{reader.mass(value, decimals)} {reader.mass_unit}"
    return f"{number(value, decimals)} {one.unit}".strip()


def answers(found: Backtest) -> tuple[Answer, ...]:
    """Every question in order."""
    said = {
        "amounts": _amounts(found),
        "sureness": _sureness(found),
        "last": _last(found),
        "mend": _mend(found),
    }
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
    doubtful = [one for one in found.judged if one.is_doubtful]
    rest = [one for one in found.judged if one.total == "agrees" and not one.is_doubtful]
    agrees, open_ = ([one for one in rest if one.is_open is way] for way in (False, True))
    parts = []
    if less:
        parts.append(f"It says too much of {_off(less, reader)}.")
    if more:
        parts.append(f"It says too little of {_off(more, reader)}.")
    for words, less_than in (("too much", True), ("too little", False)):
        those = [one for one in doubtful if (one.happened < one.foretold) is less_than]
        if those:
            parts.append(
                f"It may say {words} of {_off(those, reader)}: that is rare in a right model, but chance cannot be "
                "ruled out."
            )
    if agrees:
        parts.append(
            f"{'Right' if not parts else 'Of the rest it is right'}, as far as {counted(found.weeks, 'week')} can "
            f"tell: {_labels(agrees)}."
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
    off = f"{amount(abs(one.off), one, reader, 1)} a {one.period} {'less' if less else 'more'} than it says"
    return (
        f"{beginning(one.label)}: {amount(one.happened, one, reader)}; it says {foretold}, between {low} and {high} "
        f"nine times in ten; {off}."
    )


def _sureness(found: Backtest) -> Sequence[str]:
    whole = found.together.weeks
    each = tuple(_inside(one) for one in found.judged)
    if not whole.of:
        return ("Cannot be told: nothing is counted by week.", *each)
    counts = (
        f"{number(whole.number)} of {number(whole.of)} weekly figures ({number(100 * whole.number / whole.of)} %) lie "
        f"in the band that holds eight worlds of ten; if the model were right it would be {_expected(whole)}"
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
        f"{number(count)} {side}"
        for count, side in ((weeks.above, "above it"), (weeks.below, "below it"))
        if count
    ]
    outside = f", {joined(beyond)}" if beyond else ""
    return (
        f"{beginning(one.label)}: {number(weeks.number)} of {counted(weeks.of, one.period)} inside the band{outside} "
        f"({_expected(weeks)} if right); added up from the first, {number(sums.number)} ({_expected(sums)} if right)."
    )


def _last(found: Backtest) -> Sequence[str]:
    whole = found.together.skill
    how = (
        "Compared by a score of how far what happened lay from what was foretold, which counts being sure only where "
        "it is right (continuous ranked probability score); “same as last month” foretells that each week is like one "
        "of the four before."
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
    if whole.low != whole.low:
        said = (
            f"Cannot be told: over all figures its score is {_better(whole)}, but {counted(found.weeks, 'week')} are "
            f"too few to say how much of that is chance ({LEAST_BLOCKS * BLOCK_WEEKS} are the least)."
        )
    elif whole.low > 0.0:
        said = f"Yes: over all figures its score is {_better(whole)} ({_range(whole)})."
    elif whole.high < 0.0:
        said = f"No: over all figures its score is {_better(whole)} ({_range(whole)})."
    else:
        said = (
            f"Cannot be told: over all figures its score is {_better(whole)}, but chance alone may bring that "
            f"({_range(whole)})."
        )
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
    further = list(to_write(found))
    if cannot_tell(found):
        return ("Keep on writing, and look back again when there are more weeks.", *further)
    return (*(list(to_mend(found)) or ["Nothing that these records show."]), *further)
