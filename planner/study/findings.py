"""Which option to choose, if the runs support a choice.

In: a table of one measure (options x replicates) under one outlook, with what is refused. Out: ``Findings``.
Must not know: how runs are made, words, files.

The rule for a fixed number of worlds: the option with the highest mean is best if its paired difference to every
other allowed option is above zero (Student's t, Bonferroni over the others). An option may fall behind by less than
the owner cares about; if "as today" does, it is the answer, since it costs nothing to start.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

import numpy as np

from planner.study.intervals import FloatArray, Interval, interval, runs_needed

LEAST_REPLICATES: Final = 50
"""Worlds below which nothing is recommended: profit is skewed, and intervals of few runs err too often."""

MOST_FAILED_SHARE: Final = 0.01
"""More failed runs than this in an allowed option block a recommendation."""

Verdict = Literal["best", "cannot tell", "too few runs", "failed runs", "nothing allowed"]


@dataclass(frozen=True, slots=True)
class Rule:
    """What a choice is made by.

    Parameters
    ----------
    base : str
        The option that all others are compared with.
    confidence : float
        How sure a choice must be.
    worth_caring_about : float
        Differences below this do not matter [unit of the measure].
    """

    base: str
    confidence: float
    worth_caring_about: float


@dataclass(frozen=True, slots=True)
class Findings:
    """What the runs say, and what they do not.

    Parameters
    ----------
    verdict : Verdict
        ``best``: one option is; ``cannot tell``: several may be; ``too few runs``; ``failed runs``: too many of an
        allowed option failed; ``nothing allowed``: every option breaks a hard limit.
    best : str or None
        The recommendation; None unless the verdict is ``best``.
    leader : str or None
        The allowed option with the highest mean, whatever the verdict.
    gain : Interval or None
        Paired difference of the leader (of the best, if there is one) to the base; None for the base itself.
    runner_up : str or None
        The allowed option next in line.
    ahead : Interval or None
        Paired difference of the leader (of the best) to the runner-up.
    contenders : tuple of str
        Options that cannot be told from the leader, leader first; empty if the verdict is ``best``.
    close : tuple of str
        Options whose difference to the leader is surely smaller than the owner cares about.
    runs_needed : int or None
        Worlds that would tell the leader from the nearest of those that may be as good, about.
    identical : tuple of tuples of str
        Options that never differed in any world.
    failed : mapping of str to int
        Failed runs of each option that has any, refused ones too.
    blocked_by : str or None
        The allowed option whose failed runs block a recommendation; the one with the most of them.
    unconfirmed : bool
        One option was left, but worlds that the choice had not seen do not bear it out.
    """

    outlook: str
    measure: str
    base: str
    replicates: int
    verdict: Verdict
    best: str | None = None
    leader: str | None = None
    gain: Interval | None = None
    runner_up: str | None = None
    ahead: Interval | None = None
    contenders: tuple[str, ...] = ()
    close: tuple[str, ...] = ()
    runs_needed: int | None = None
    identical: tuple[tuple[str, ...], ...] = ()
    failed: Mapping[str, int] = field(default_factory=dict)
    blocked_by: str | None = None
    unconfirmed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Who takes part in a choice.

    Parameters
    ----------
    options : sequence of str
        Names, in the order of the rows; those that were played.
    values : array, shape (options, replicates)
        The measure that decides; nan where a run failed.
    refused : collection of str
        Options that break a hard limit.
    identical : tuple of tuples of str
        Groups of options that never differ; the first of each stands for all.
    """

    outlook: str
    measure: str
    options: Sequence[str]
    values: FloatArray
    refused: Collection[str]
    identical: tuple[tuple[str, ...], ...] = ()

    @property
    def failed(self) -> dict[str, int]:
        """Failed runs of each option that has any."""
        missing = np.isnan(self.values).sum(axis=1)
        return {name: int(count) for name, count in zip(self.options, missing, strict=True) if count}

    def of(self, option: str) -> FloatArray:
        """One option's values."""
        row: FloatArray = self.values[self.options.index(option)]
        return row

    def difference(self, option: str, other: str) -> FloatArray:
        """Paired differences of one option to another."""
        return self.of(option) - self.of(other)


def choose(those: Field, rule: Rule) -> Findings:
    """Find the best of the allowed options, or say why the runs do not tell."""
    start, candidates = opening(those, rule), entrants(those)
    if not candidates:
        return start
    told = _compare(those, rule, start, candidates)
    if start.blocked_by:
        return replace(told, verdict="failed runs", best=None)
    if start.replicates < LEAST_REPLICATES:
        return replace(told, verdict="too few runs", best=None)
    return replace(told, verdict="cannot tell" if told.best is None else "best")


def opening(those: Field, rule: Rule) -> Findings:
    """What can be said before anything is compared: what failed, and whether anything is allowed."""
    replicates = those.values.shape[1]
    allowed = [name for name in those.options if name not in those.refused]
    failed = those.failed
    blocking = [name for name in allowed if failed.get(name, 0) > MOST_FAILED_SHARE * replicates]
    return Findings(
        those.outlook,
        those.measure,
        rule.base,
        replicates,
        "failed runs" if allowed else "nothing allowed",
        identical=those.identical,
        failed=failed,
        blocked_by=max(blocking, key=failed.__getitem__, default=None),
    )


def entrants(those: Field) -> list[str]:
    """Options that a choice is between: allowed, with a result, and of those that never differ the first."""
    allowed = [name for name in those.options if name not in those.refused]
    replicates = those.values.shape[1]
    return [
        name
        for name in allowed
        if those.failed.get(name, 0) < replicates and not _doubled(name, those, allowed)
    ]


def _compare(those: Field, rule: Rule, start: Findings, candidates: Sequence[str]) -> Findings:
    """Everything but the verdict."""
    ranked = sorted(candidates, key=lambda name: -float(np.nanmean(those.of(name))))
    leader, others = ranked[0], ranked[1:]
    comparisons = max(1, len(others))
    behind = {name: interval(those.difference(leader, name), rule.confidence, comparisons) for name in others}
    close = tuple(name for name in others if behind[name].high < rule.worth_caring_about)
    unsure = tuple(name for name in others if not behind[name].low > 0.0 and name not in close)
    best = _best(leader, close, unsure, rule.base)
    head = best or leader
    found = replace(
        start,
        best=best,
        leader=leader,
        gain=_gain(those, head, rule),
        contenders=() if best else (leader, *unsure, *close),
        close=close,
    )
    rest = [name for name in ranked if name != head]
    if not rest:
        return found
    needed = None
    if best is None and unsure:
        nearest = those.difference(leader, unsure[0])
        needed = runs_needed(nearest, rule.confidence, comparisons, rule.worth_caring_about)
    return replace(
        found,
        runner_up=rest[0],
        ahead=interval(those.difference(head, rest[0]), rule.confidence, comparisons),
        runs_needed=needed,
    )


def _best(leader: str, close: tuple[str, ...], unsure: tuple[str, ...], base: str) -> str | None:
    """The option to choose; None where several may be best, or are as good, and none of them is free."""
    if unsure:
        return None
    if not close:
        return leader
    return base if base in (leader, *close) else None


def _gain(those: Field, option: str, rule: Rule) -> Interval | None:
    if option == rule.base or rule.base not in those.options:
        return None
    compared = len(those.options) - 1
    return interval(those.difference(option, rule.base), rule.confidence, compared)


def _doubled(name: str, those: Field, allowed: Sequence[str]) -> bool:
    """Is an allowed option that never differs from this one listed before it?"""
    group = next((group for group in those.identical if name in group), (name,))
    return any(other in allowed for other in group[: group.index(name)])


def identical_groups(options: Sequence[str], values: FloatArray) -> tuple[tuple[str, ...], ...]:
    """Options that agree in every measure of every world, in groups of two and more; not those without any result.

    Parameters
    ----------
    options : sequence of str
        Names of the rows.
    values : array, shape (options, ...)
        Everything that was measured of each.
    """
    groups: dict[bytes, list[str]] = {}
    for name, rows in zip(options, values, strict=True):
        if not np.isnan(rows).all():
            groups.setdefault((rows + 0.0).tobytes(), []).append(name)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)
