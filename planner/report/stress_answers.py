"""The standing questions and their answers, in plain sentences; and everything that a stress found, in order.

In: a ``Stress``. Out: sentences. Must not know: files, pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from planner.report.phrases import joined, quoted
from planner.report.stress_words import (
    asides,
    at,
    best_along,
    break_even,
    compared,
    ends,
    gaps,
    is_ahead,
    lopsided,
    name_of,
    of_map,
    told,
    without,
)
from planner.scenario.axis import Axis
from planner.scenario.header import AS_TODAY
from planner.study.along import Along, BreakEven
from planner.study.held import NOTHING
from planner.study.standing import Answer, Missing
from planner.study.stress import Stress

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


def sentences(stress: Stress) -> Iterator[str]:
    """Everything that was found, in order."""
    if stress.answers:
        yield from asked_of(stress)
        for answer in stress.answers:
            yield f"{ASKED[answer.question]} {' '.join(answered(stress, answer))}"
        yield from standing_asides(stress)
        return
    for along in stress.alongs:
        yield from best_along(along)
        yield from compared(along.axis, along.break_evens)
        yield from asides(along)
        yield from lopsided(along.break_evens)
    if stress.map is not None:
        yield from of_map(stress.map)


def asked_of(stress: Stress) -> Iterator[str]:
    """Of which options the standing questions were asked, where that is not going on as today alone."""
    asked = [
        one.option for answer in stress.answers if answer.question != "stops paying" for one in answer.found
    ]
    ahead = next((name for name in asked if name != AS_TODAY), None)
    if ahead is not None:
        yield f"Asked of going on as today and of {quoted(ahead)}, which brings most in these worlds as things are."


def answered(stress: Stress, answer: Answer) -> Iterator[str]:
    """The answer to one of the standing questions, sentence by sentence."""
    if answer.missing:
        yield f"Not asked: {MISSING[answer.missing]}."
        return
    along = next(one for one in stress.alongs if one.axis.label == answer.along)
    today = along.axis.today
    if today is not None and answer.question in _NOW:
        yield f"In the scenario it is {told(along.axis, today)}."
    yield from _ANSWERS[answer.question](along.axis, answer.found)
    if answer.question in _NOTHING_BEST:
        yield from _nothing_best(along, answer.found)


def standing_asides(stress: Stress) -> Iterator[str]:
    """Options that have no figure, and answers that may err more often than they say."""
    if stress.alongs:
        yield from gaps(stress.alongs[0])
    yield from lopsided([one for answer in stress.answers for one in answer.found])


_NOTHING_BEST: Final = ("nothing", "hour")
"""Questions that all options were asked of: whether doing nothing is the best of them can be said."""
_NOW: Final = ("bucket", "lead share", "hour")
"""Questions about a number of the scenario; what a yard pays is told as times of today's anyway."""


def _nothing_best(along: Along, found: Sequence[BreakEven]) -> Iterator[str]:
    """Where doing nothing is the best of all options; nothing said where no option does nothing."""
    rest = found[0].against if found else NOTHING
    if rest not in [one.option for one in along.courses]:
        return
    where = [
        f"{'below' if one.first == rest else 'above'} {at(along.axis, one.crossing)}"
        for one in along.changes
        if rest in (one.first, one.then)
    ]
    best = [one.option == rest for one in along.best]
    if where:
        yield f"{name_of(rest)} is the best of all options {joined(where)}."
    elif all(best):
        yield f"{name_of(rest)} is the best of all options all along."
    elif not any(best):
        yield f"On average some option brings more than {name_of(rest)} all along."


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
    yield from without(axis, rest)


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
        elif is_ahead(one, "more", True):
            yield always(name, ends(axis, one))
        elif is_ahead(one, "less", True):
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
