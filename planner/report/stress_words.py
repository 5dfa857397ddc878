"""What inputs moved along a range do, in plain sentences: what is best where, and where two options change places.

In: an ``Along`` or a ``BestMap``. Out: sentences. Must not know: files, pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor, log10
from string import ascii_uppercase
from typing import Final

from planner.report.phrases import beginning, counted, joined, listed, quoted, too_few
from planner.report.units import number
from planner.scenario.axis import Axis
from planner.study.along import Along, BreakEven
from planner.study.break_even import Crossing
from planner.study.held import NOTHING
from planner.study.stress import BestMap, Stress

FEW: Final = 3
"""So many points are named one by one."""
FINELY: Final = 80.0
"""A number along a range is told so finely that the range has about so many of them."""


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


def places(axis: Axis, those: Sequence[float]) -> str:
    """Points along an input: each of a few, else how many and from where to where."""
    if len(those) <= FEW:
        return f"at {joined([figure(axis, x) for x in those])} {axis.unit}".rstrip()
    return f"at {counted(len(those), 'point')} from {figure(axis, those[0])} to {told(axis, those[-1])}"


def break_even(axis: Axis, found: BreakEven) -> str:
    """One pair along an input, in a sentence."""
    one, other = name_of(found.option), name_of(found.against)
    if found.ahead == "nowhere":
        return f"{one} has no figure along this range."
    if found.ahead == "same":
        return f"{one} brings the same as {other} {ends(axis, found)}."
    if found.ahead != "crosses":
        surely = "at every point" if found.sure else "on average"
        doubt = f"; {places(axis, found.unsure)} that is not sure" if found.unsure else ""
        return f"No break-even {ends(axis, found)}: {one} brings {found.ahead} than {other} {surely}{doubt}."
    if not any(cross.told for cross in found.crossings):
        return f"{one} and {other} cannot be told apart {ends(axis, found)}."
    if len(found.crossings) == 1:
        (cross,) = found.crossings
        side = "above" if cross.rises else "below"
        return f"{one} brings more than {other} {side} {at(axis, cross)}."
    those = ", ".join(at(axis, cross) for cross in found.crossings)
    first = "less" if found.crossings[0].rises else "more"
    return f"{one} and {other} change places at {those}; below the first it brings {first}."


def best_along(along: Along) -> Iterator[str]:
    """Which option is best where."""
    axis, known = along.axis, [one for one in along.best if one.option is not None]
    if not known:
        yield f"No option has a figure anywhere along {axis.label}."
        return
    doubtful = [one.x for one in known if not one.sure]
    sure = (
        "" if not doubtful else f" {beginning(places(axis, doubtful))} the next best cannot be told from it."
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
    sets = [one.option for one in along.courses if one.unfelt == "sets it"]
    still = [one.option for one in along.courses if one.unfelt == "not touched"]
    if sets:
        yield f"Not felt by {listed(sets)}: what is moved is set anew there, by the option or the outlook."
    if still:
        yield f"Not felt by {listed(still)}: what {_it_brings(still)} does not hang on it."
    yield from gaps(along)


def gaps(along: Along) -> Iterator[str]:
    """Points at which options have no figure, and why."""
    axis = along.axis
    alike: dict[tuple[str, str, tuple[float, ...]], list[str]] = {}
    for gap in along.gaps:
        alike.setdefault((gap.state, gap.why, gap.at), []).append(gap.option)
    for (state, why, points), names in alike.items():
        where = "all along" if len(points) == len(along.points) else places(axis, points)
        reason = (
            why if "." in why.partition(":")[0] else f"{why[:1].upper()}{why[1:]}"
        )  # a path stays as it is
        yield f"{_STATES[state]} {where}: {listed(names)}. {reason}."


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
        yield from without(axis, [one for one in those if one not in crossing])


def without(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    """Pairs of one and the same other option that have no break-even, or none that can be told."""
    for low, high in dict.fromkeys((one.low, one.high) for one in found):
        yield from _alike(axis, [one for one in found if (one.low, one.high) == (low, high)])


def _alike(axis: Axis, found: Sequence[BreakEven]) -> Iterator[str]:
    """Those that have figures between the same ends."""
    other = name_of(found[0].against)
    span = f"from {figure(axis, found[0].low)} to {told(axis, found[0].high)}"
    for words, names in (
        (
            f"More than {other} all along {span}, so no break-even",
            [one for one in found if is_ahead(one, "more", True)],
        ),
        (
            f"Less than {other} all along {span}, so no break-even",
            [one for one in found if is_ahead(one, "less", True)],
        ),
        (
            f"Not surely more or less than {other} everywhere {span}",
            [one for one in found if not one.sure or one.ahead == "crosses"],
        ),
        (f"The same as {other} all along {span}", [one for one in found if one.ahead == "same"]),
    ):
        if names:
            yield f"{words}: {', '.join(name_of(one.option) for one in names)}."


def is_ahead(one: BreakEven, ahead: str, sure: bool) -> bool:
    """Is it so all along, and that surely or not?"""
    return one.ahead == ahead and one.sure == sure


def lopsided(found: Sequence[BreakEven]) -> Iterator[str]:
    """Which of what is said may err more often than it says."""
    names = list(dict.fromkeys(one.option for one in found if one.lopsided))
    if names:
        yield (
            f"Mind: with {listed(names)} a few worlds are far better or far worse than the others, so what is said of "
            "it may err more often than it says; more worlds (--replicates) tell."
        )


def how_known(stress: Stress) -> str:
    """What the numbers rest on."""
    worlds = stress.map.worlds if stress.map is not None else stress.alongs[0].worlds if stress.alongs else 0
    return (
        f"The same {counted(worlds, 'world')} at every point, under the outlook {quoted(stress.outlook)}; "
        f"{number(stress.runs)} runs. Money is {stress.subject.currency} {stress.subject.period}, after your hours are "
        f"priced. In brackets: where it lies, each range {100 * stress.subject.confidence:g} times in 100."
    )
