"""What the gain of an option hangs on, in plain sentences.

In: ``Hinges``. Out: sentences. Must not know: terminals, pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, log10
from typing import Final

from planner.report.phrases import AGAIN, counted, joined, listed, more, quoted, reader_of, told
from planner.report.units import number
from planner.scenario.inputs import FACTORS
from planner.study.hinge import A_LIMIT, Flips, Hinge, Hinges, Limit

SURE: Final = 0.8
"""Beaten at this share of the points in the box, an option is no longer best there; at fewer, often not (assumed)."""

WAYS: Final = {
    "raises": "more of it raises the gain",
    "lowers": "more of it lowers the gain",
    "both": "more of it now raises, now lowers the gain",
    "nothing": "it moves nothing",
}


def hinges_words(found: Hinges) -> tuple[str, ...]:
    """What the answer hangs on, and where it flips."""
    return tuple(_said(found))


def flips_words(found: Hinges) -> tuple[str, ...]:
    """Where it flips; nothing where that could not be looked at."""
    return () if found.flips is None else (_flips(found, found.flips),)


def _said(found: Hinges) -> Iterator[str]:
    reader, flips, name = reader_of(found.subject), found.flips, quoted(found.option)
    gain = told(found.gain)
    within = f" ({number(gain.low)} to {number(gain.high)})" if gain.low == gain.low else ""
    yield (
        f"{name} brings {reader.money(abs(gain.mean))}{within} {reader.period} {more('', gain.mean >= 0.0).strip()} "
        f"than {quoted(found.subject.base)} where everything is as the scenario says, in {counted(gain.n, 'world')}."
    )
    if flips is not None and flips.gains:
        low, middle, high = flips.gains
        worlds = counted(found.subject.replicates, "world")
        yield (
            f"Were everything that has a range anywhere within it, that would be from {number(low)} to "
            f"{reader.money(high)} at eight points of ten, and as often above {number(middle)} as below (the same "
            f"{worlds} at every point)."
        )
    if found.broken is not None:
        yield from _broken(found)
    if any(one.effect is not None for one in found.hinges):
        yield _most(found)
    if found.best_today != found.option:
        yield f"Even there {quoted(found.best_today)} brings more than {name} in these worlds."
    if flips is not None:
        yield _flips(found, flips)
        if flips.first_failed is not None:
            left_out = counted(flips.failed, "point")
            yield (
                f"{left_out} of these {'is' if flips.failed == 1 else 'are'} left out, since a run failed there: "
                f"{flips.first_failed.summary}. {AGAIN}{flips.first_failed.repeat}"
            )


def _most(found: Hinges) -> str:
    ranked = [one for one in found.ranked if one.effect is not None and one.effect.size > 0.0]
    if not ranked:
        return "Nothing in these ranges moves the gain."
    idle = [one for one in found.idle if one not in ranked[:1]]
    first = found.foremost
    further = [one for one in ranked if one.shares is not None and one not in idle and one not in first]
    words = f"The answer hangs most on {joined([_with_way(found, one) for one in first])}"
    if len(first) > 1:
        words += ", of which the points do not tell which one most"
    if further:
        words += f"; then on {joined([one.name for one in further])}"
    if idle:
        words += f"; {joined([one.name for one in idle])} hardly {'matters' if len(idle) == 1 else 'matter'}"
    return f"{words}."


def _with_way(found: Hinges, one: Hinge) -> str:
    size = reader_of(found.subject).money(one.effect.size) if one.effect else ""
    return f"{one.name} ({WAYS[one.direction]}; from end to end it moves by about {size})"


def _flips(found: Hinges, flips: Flips) -> str:
    name = quoted(found.option)
    of = f"{flips.flipped} of {counted(flips.points, 'point')} all over the ranges"
    by = _by(found, flips.by[0][0]) if flips.by else ""
    if flips.where == "nowhere":
        others = listed([found.subject.base, *found.others])
        return (
            f"Within these ranges nothing overtakes {name}: at none of {counted(flips.points, 'point')} does any of "
            f"{others} bring {_least(found)} more."
        )
    if flips.where == "few":
        return f"At {of} {name} is not the best ({by}): too few to say where they lie."
    if flips.where == "everywhere":
        return f"At {of} {name} is not the best (most often {by}): within these ranges the advice does not stand."
    if flips.where == "scattered":
        return f"At {of} {name} is not the best (most often {by}); these lie in no one corner of the ranges."
    conditions = joined([_limit(found.hinges[one.hinge], one) for one in flips.limits])
    verb = "is no longer best" if flips.flipped_inside >= SURE * flips.inside else "is often not the best"
    return (
        f"{name} {verb} when {conditions}: there it is so at {flips.flipped_inside} of "
        f"{counted(flips.inside, 'point')} (most often {_by(found, flips.by_inside)}); it is not the best at {of}."
    )


def _by(found: Hinges, name: str) -> str:
    return "a hard limit forbids it" if name == A_LIMIT else f"{quoted(name)} brings {_least(found)} more"


def _least(found: Hinges) -> str:
    """How much more another option must bring, for it to count."""
    caring = found.subject.worth_caring_about
    return f"at least {reader_of(found.subject).money(caring)}" if caring > 0.0 else "something"


def _limit(hinge: Hinge, limit: Limit) -> str:
    low, high = (None if one is None else amount(hinge, one) for one in (limit.low, limit.high))
    if low is not None and high is not None:
        return f"{hinge.name} lies between {low} and {high}"
    return f"{hinge.name} is above {low}" if low is not None else f"{hinge.name} is below {high}"


def amount(hinge: Hinge, x: float) -> str:
    """A number along the range of an input, with no more digits than matter in it."""
    decimals = max(0, 1 - floor(log10(hinge.high - hinge.low)))
    text = f"{number(x, decimals)} {hinge.unit}".rstrip()
    if hinge.way in FACTORS:
        return f"{text} times today's"
    return f"today's {'less' if x < 0.0 else 'and'} {text.removeprefix('-')}" if hinge.way == "plus" else text


def _broken(found: Hinges) -> Iterator[str]:
    broken = found.broken
    if broken is None:
        return
    what = "No shares are given" if broken.stage == "shares" else "What it hangs on cannot be told"
    yield (
        f"{what}: {broken.failed} of {counted(broken.points, 'point')} {'has' if broken.failed == 1 else 'have'} no "
        "result, every one is needed, and none is made up. The first is where "
        f"{' and '.join(broken.inputs) or 'everything is as the scenario says'}: {broken.run.summary}."
    )
    yield f"{AGAIN}{broken.run.repeat}"
