"""What inputs moved along a range do, in plain sentences: where options change places, and the standing questions.

In: a ``Stress``. Out: sentences. Must not know: files, pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil, floor, log10
from string import ascii_uppercase
from typing import Final

from planner.report.phrases import counted, listed, quoted, too_few
from planner.report.units import number
from planner.scenario.axis import Axis
from planner.scenario.header import AS_TODAY
from planner.study.along import Along, BreakEven
from planner.study.break_even import Crossing
from planner.study.held import NOTHING
from planner.study.standing import Answer, Missing
from planner.study.stress import BestMap, Stress

FINELY: Final = 80.0
"""A number along a range is told so finely that the range has about so many of them."""

MISSING: Final[dict[Missing, str]] = {
    "no yard prices": "the yard's model has no prices in its settings",
    "no shops": "buckets come from no model that has shops with a price and a mix",
    "no untouched": 'no option sells buckets untouched (fetching on, melting off, yard.weights "all")',
    "no hours": "no option takes hours",
}
ASKED: Final = {
    "stops paying": "How far can the yard's prices fall before each option stops paying?",
    "melting or untouched": "At what prices of the yard does melting stop beating selling untouched?",
    "nothing": "At what prices of the yard is doing nothing better?",
    "bucket": "What is the most to pay for a bucket?",
    "lead share": "At what lead share is a bucket no longer worth melting?",
    "hour": "At what price for your hour do you stop?",
}


def decimals(axis: Axis) -> int:
    """Digits behind the point that numbers along an axis are told with."""
    return 0 if axis.whole else max(0, ceil(-log10((axis.high - axis.low) / FINELY)))


def figure(axis: Axis, x: float) -> str:
    """A number along an axis, without its unit."""
    return number(x, decimals(axis))


def told(axis: Axis, x: float) -> str:
    """A number along an axis, with its unit."""
    return f"{figure(axis, x)} {axis.unit}".rstrip()


def reach(axis: Axis, found: Crossing) -> str:
    """Where a crossing lies."""
    least, most = (number(x, 1) if axis.whole else figure(axis, x) for x in (found.low, found.high))
    if least == most:
        return least
    return f"from {'below ' if found.open_low else ''}{least} to {'above ' if found.open_high else ''}{most}"


def at(axis: Axis, found: Crossing) -> str:
    """A crossing with its reach, unless that is of too few worlds; of whole numbers the two that it lies between."""
    where = told(axis, found.at)
    if axis.whole:
        low, high = floor(found.at), ceil(found.at)
        where = told(axis, low) if low == high else f"{figure(axis, low)} to {told(axis, high)}"
    return where if too_few(found.n) else f"{where} ({reach(axis, found)})"


def name_of(option: str) -> str:
    """An option as a sentence carries it; what stands for none brings nothing."""
    return "bringing nothing" if option == NOTHING else quoted(option)


def ends(axis: Axis, found: BreakEven) -> str:
    """Where both of a pair have a figure."""
    return f"between {figure(axis, found.low)} and {told(axis, found.high)}"


def break_even(axis: Axis, found: BreakEven) -> str:
    """One pair along an input, in a sentence."""
    one, other = name_of(found.option), name_of(found.against)
    if found.ahead == "nowhere":
        return f"{one} has no figure along this range."
    if found.ahead == "same":
        return f"{one} brings the same as {other} {ends(axis, found)}."
    if found.ahead != "crosses":
        surely = (
            f"{found.ahead} at every point"
            if found.sure
            else f"{found.ahead} on average, not surely at every point"
        )
        return f"{one} and {other}: no break-even {ends(axis, found)}; it brings {surely}."
    if not any(cross.told for cross in found.crossings):
        return f"{one} and {other} cannot be told apart {ends(axis, found)}."
    if len(found.crossings) == 1:
        (cross,) = found.crossings
        side = "above" if cross.rises else "below"
        return f"{one} brings more than {other} {side} {at(axis, cross)}."
    those = ", ".join(at(axis, cross) for cross in found.crossings)
    first = "less" if found.crossings[0].rises else "more"
    return f"{one} and {other} change places at {those}; below the first it brings {first}."


def sentences(stress: Stress) -> Iterator[str]:
    """Everything that was found, in order."""
    if stress.answers:
        for answer in stress.answers:
            yield f"{ASKED[answer.question]} {' '.join(answered(stress, answer))}"
        return
    for along in stress.alongs:
        yield from best_along(along)
        yield from compared(along.axis, along.break_evens)
        yield from asides(along)
    if stress.map is not None:
        yield from of_map(stress.map)


def best_along(along: Along) -> Iterator[str]:
    """Which option is best where."""
    axis, known = along.axis, [one for one in along.best if one.option is not None]
    if not known:
        yield f"No option has a figure anywhere along {axis.label}."
        return
    doubtful = [one.x for one in known if not one.sure]
    sure = (
        ""
        if not doubtful
        else f" At {', '.join(figure(axis, x) for x in doubtful)} the next best cannot be told from it."
    )
    if not along.changes:
        names = list(dict.fromkeys(str(one.option) for one in known))
        if len(names) == 1:
            span = f"from {figure(axis, known[0].x)} to {told(axis, known[-1].x)}"
            yield f"The best all along {span}: {quoted(names[0])}.{sure}"
            return
        yield f"The best at one point or another: {listed(names)}.{sure}"
        return
    parts = [f"{quoted(along.changes[0].first)}"]
    for one in along.changes:
        parts.append(f"from {at(axis, one.crossing)} on {quoted(one.then)}")
    yield f"The best along {axis.label}: {', '.join(parts)}.{sure}"


def asides(along: Along) -> Iterator[str]:
    """Options that do not feel the input, and points without a figure."""
    axis = along.axis
    sets = [one.option for one in along.courses if one.unfelt == "sets it"]
    still = [one.option for one in along.courses if one.unfelt == "not touched"]
    if sets:
        yield f"Not felt by {listed(sets)}: what is moved is set anew there, by the option or the outlook."
    if still:
        yield f"Not felt by {listed(still)}: what {_it_brings(still)} does not hang on it."
    alike: dict[tuple[str, str, tuple[float, ...]], list[str]] = {}
    for gap in along.gaps:
        alike.setdefault((gap.state, gap.why, gap.at), []).append(gap.option)
    for (state, why, points), names in alike.items():
        where = "all along"
        if len(points) == 1:
            where = f"at {told(axis, points[0])}"
        elif len(points) < len(along.points):
            count = counted(len(points), "point")
            where = f"at {count} from {figure(axis, points[0])} to {told(axis, points[-1])}"
        yield f"{_STATES[state]} {where}: {listed(names)}. {why[:1].upper()}{why[1:]}."


_STATES: Final = {"refused": "Refused", "impossible": "Impossible", "failed": "Without a result"}


def _it_brings(names: Sequence[str]) -> str:
    return "it brings" if len(names) == 1 else "they bring"


def letters(found: BestMap) -> dict[str, str]:
    """A letter for each option that is best somewhere on a map, the most frequent first."""
    names = [cell.best.option for cell in found.cells if cell.best.option is not None]
    order = sorted(dict.fromkeys(names), key=lambda name: (-names.count(name), name))
    return {name: ascii_uppercase[n] if n < len(ascii_uppercase) else "+" for n, name in enumerate(order)}


def of_map(found: BestMap) -> Iterator[str]:
    """Which options are best somewhere on a map."""
    cells = [cell.best for cell in found.cells]
    parts = [
        f"{letter} {quoted(name)} at {sum(one.option == name for one in cells)}"
        for name, letter in letters(found).items()
    ]
    if parts:
        yield f"The best of {counted(len(cells), 'place')}: {', '.join(parts)}."
    unsure = sum(one.option is not None and not one.sure for one in cells)
    if unsure:
        yield f"At {unsure} of them the next best cannot be told from it."
    if empty := sum(one.option is None for one in cells):
        yield f"At {empty} no option has a figure: refused, impossible or without a result."


def answered(stress: Stress, answer: Answer) -> Iterator[str]:
    """The answer to one of the standing questions, sentence by sentence."""
    if answer.missing:
        yield f"Not asked: {MISSING[answer.missing]}."
        return
    along = next(one for one in stress.alongs if one.axis.label == answer.along)
    yield from _ANSWERS[answer.question](along.axis, answer.found)


def _stops_paying(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    crossing = [one for one in found if any(cross.told for cross in one.crossings)]
    rest = [one for one in found if one.ahead != "nowhere" and one not in crossing]
    for one in crossing:
        if len(one.crossings) == 1 and one.option != one.against:
            (cross,) = one.crossings
            side = "below" if cross.rises else "above"
            yield f"{quoted(one.option)} stops bringing more than {quoted(one.against)} {side} {at(axis, cross)}."
        else:
            yield break_even(axis, one)
    yield from _without(axis, rest)


def compared(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    """Every pair: those that change places one by one, the others together."""
    for against in dict.fromkeys(one.against for one in found):
        those = [one for one in found if one.against == against and one.ahead != "nowhere"]
        crossing = [one for one in those if any(cross.told for cross in one.crossings)]
        once = [one for one in crossing if len(one.crossings) == 1]
        for side, rises in (("above", True), ("below", False)):
            alike = [one for one in once if one.crossings[0].rises == rises]
            if alike:
                parts = (f"{name_of(one.option)} {at(axis, one.crossings[0])}" for one in alike)
                yield f"More than {name_of(against)} {side} these: {', '.join(parts)}."
        yield from (break_even(axis, one) for one in crossing if one not in once)
        yield from _without(axis, [one for one in those if one not in crossing])


def _without(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    """Pairs of one and the same other option that have no break-even, or none that can be told."""
    if not found:
        return
    other, span = name_of(found[0].against), f"from {figure(axis, axis.low)} to {told(axis, axis.high)}"
    for words, names in (
        (
            f"More than {other} all along {span}, so no break-even",
            [one for one in found if _is(one, "more", True)],
        ),
        (
            f"Less than {other} all along {span}, so no break-even",
            [one for one in found if _is(one, "less", True)],
        ),
        (
            f"Not surely more or less than {other} everywhere {span}",
            [one for one in found if not one.sure or one.ahead == "crosses"],
        ),
        (f"The same as {other} all along {span}", [one for one in found if one.ahead == "same"]),
    ):
        if names:
            yield f"{words}: {', '.join(name_of(one.option) for one in names)}."


def _is(one: BreakEven, ahead: str, sure: bool) -> bool:
    return one.ahead == ahead and one.sure == sure


def _melting(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    yield from (break_even(axis, one) for one in found)


def _limit(
    found: Sequence[BreakEven],
    axis: Axis,
    rises: bool,
    words: Callable[[str, str], str],
    always: Callable[[str, str], str],
    never: Callable[[str, str], str],
) -> Iterator[str]:
    """A limit for each option, where there is one of the kind that is asked for; else what there is."""
    for one in found:
        name = "Going on as today" if one.option == AS_TODAY else f"With {quoted(one.option)}"
        shape = [(cross.rises, cross.told) for cross in one.crossings]
        if shape == [(rises, True)]:
            yield words(name, at(axis, one.crossings[0]))
        elif _is(one, "more", True):
            yield always(name, ends(axis, one))
        elif _is(one, "less", True):
            yield never(name, ends(axis, one))
        else:
            yield break_even(axis, one)


def _nothing(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    yield from _limit(
        found,
        axis,
        True,
        lambda name, where: f"{name}: below {where}.",
        lambda name, where: (
            f"{name}: no break-even {where}; it brings more than doing nothing at all of these prices."
        ),
        lambda name, where: f"{name}: no break-even {where}; doing nothing is better at all of these prices.",
    )


def _bucket(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    yield from _limit(
        found,
        axis,
        False,
        lambda name, where: f"{name}: {where}.",
        lambda name, where: f"{name}: no break-even {where}; it pays at all of these prices.",
        lambda name, where: (
            f"{name}: no break-even {where}; doing nothing is better even if buckets are free."
        ),
    )
    yield "Every bucket is taken to cost the same, and above that doing nothing brings more."


def _lead(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    for against in dict.fromkeys(one.against for one in found):
        rather = "doing nothing" if against == NOTHING else quoted(against)

        def below(name: str, where: str, rather: str = rather) -> str:
            return f"{name}: below {where} {rather} brings more."

        def always(name: str, where: str, rather: str = rather) -> str:
            return f"{name}: no break-even {where}; it brings more than {rather} at all of these shares."

        def never(name: str, where: str, rather: str = rather) -> str:
            return f"{name}: no break-even {where}; {rather} brings more at all of these shares."

        yield from _limit([one for one in found if one.against == against], axis, True, below, always, never)
    yield (
        "Clip-on and stick-on weights together, in every shop's buckets; a bucket costs the same and the yard pays the "
        "same whatever is in it."
    )


def _hour(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    yield from _limit(
        found,
        axis,
        False,
        lambda name, where: f"{name}: at {where}.",
        lambda name, where: f"{name}: no break-even {where}; it brings more than doing nothing all along.",
        lambda name, where: (
            f"{name}: no break-even {where}; doing nothing is better even if your hours cost nothing."
        ),
    )


_ANSWERS: Final = {
    "stops paying": _stops_paying,
    "melting or untouched": _melting,
    "nothing": _nothing,
    "bucket": _bucket,
    "lead share": _lead,
    "hour": _hour,
}


def how_known(stress: Stress) -> str:
    """What the numbers rest on."""
    worlds = stress.map.worlds if stress.map is not None else stress.alongs[0].worlds if stress.alongs else 0
    asked = [
        one.option for answer in stress.answers if answer.question != "stops paying" for one in answer.found
    ]
    ahead = next((name for name in asked if name != AS_TODAY), None)
    leads = f"As things are, {quoted(ahead)} brings most in these worlds. " if ahead else ""
    return (
        f"{leads}The same {counted(worlds, 'world')} at every point, under the outlook {quoted(stress.outlook)}; "
        f"{number(stress.runs)} runs. Money is {stress.subject.currency} {stress.subject.period}, after your hours are "
        f"priced. In brackets: where it lies, each range {100 * stress.subject.confidence:g} times in 100."
    )
