"""How a choice went, and what may be said after it.

In: who left when, leads in the worlds of the choice, fresh worlds. Out: ``Choice`` and ``Findings``.
Must not know: how runs are made, words, files.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.study.budget import Budget
from planner.study.findings import MOST_FAILED_SHARE, Field, Findings, Rule, entrants, opening
from planner.study.intervals import MOST_SKEWNESS, FloatArray, Interval, interval, skewness
from planner.study.sample import Sample

Ended = Literal["one left", "budget spent", "failed runs"]
Lead = Callable[[str, str], FloatArray]
"""How much more one option brings than another, in each world of the choice that both were played in."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One row an option that took part."""

    option: str
    worlds: int
    """That it was played in, before it left or the choice ended."""
    beaten_by: str | None = None
    """The option that it lost to; None while it is in."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice by dropping what loses.

    Parameters
    ----------
    standings : tuple of Standing
        In the order of the scenario.
    ended : str
        ``one left``; ``budget spent`` with several left; ``failed runs``: too many of an option that was in.
    batch : int
        Worlds whose mean is one value of the procedure.
    budget : Budget
        What was given.
    most_runs : int
        Runs that the budget came to; says nothing of a budget of minutes.
    skewness : float
        The largest, up or down, of the leader's lead over another option in single worlds; 0 where none varies.
    worlds_needed, runs_needed : int or None
        Where several are left: worlds that each of them would have been played in, about, when one is left; and the
        further runs that takes.
    """

    standings: tuple[Standing, ...]
    ended: Ended
    batch: int
    budget: Budget
    most_runs: int
    skewness: float = 0.0
    worlds_needed: int | None = None
    runs_needed: int | None = None

    @property
    def lopsided(self) -> bool:
        """Are worlds so lopsided that the choice may err more often than it says?"""
        return abs(self.skewness) > MOST_SKEWNESS

    @property
    def survivors(self) -> tuple[str, ...]:
        """Options that are still in."""
        return tuple(one.option for one in self.standings if one.beaten_by is None)

    @property
    def worlds(self) -> int:
        """Worlds that those still in were played in."""
        return max(one.worlds for one in self.standings)

    @property
    def runs(self) -> int:
        """Runs that the choice took under the outlook in which it was made."""
        return sum(one.worlds for one in self.standings)


@dataclass(frozen=True, slots=True)
class Failures:
    """Runs without a result under the outlook of the choice, whatever they were played for."""

    failed: Mapping[str, int]
    """How many of each option that has any."""
    blocked_by: str | None
    """The allowed option that has too many, most of all; none is recommended then."""


def _not_below(leader: str, other: str | None, found: Findings, rule: Rule, those: Field) -> tuple[str, ...]:
    """Options beside which fresh worlds do not bear the leader out: not surely behind the base, or surely behind."""
    gain, ahead, names = found.gain, found.ahead, list[str]()
    if gain is not None and rule.base not in those.refused and not gain.low > 0.0:
        names.append(rule.base)
    if other is None or other == rule.base or ahead is None:
        return tuple(names)
    if ahead.high < 0.0 or (names and ahead.low < 0.0):
        names.append(other)
    return tuple(names)


def count_failures(failed: Mapping[str, int], played: Mapping[str, int], allowed: Sequence[str]) -> Failures:
    """Which option has more failed runs than a recommendation bears, of all that it was played in."""
    blocking = [name for name in allowed if failed.get(name, 0) > MOST_FAILED_SHARE * played[name]]
    return Failures(failed, max(blocking, key=lambda name: failed[name], default=None))


def in_line(those: Sequence[str], lead: Lead) -> list[str]:
    """Options that met the same worlds, the highest mean first."""
    return sorted(those, key=lambda name: -float(lead(name, those[0]).mean()))


def most_skewed(leader: str, those: Sequence[str], lead: Lead) -> float:
    """The largest skewness, up or down, of the leader's leads; 0 where none varies."""
    found = [skewness(lead(leader, name)) for name in those if name != leader]
    return max((one for one in found if one == one), key=abs, default=0.0)


def next_in_line(leader: str, those: Sequence[str], lead: Lead) -> str | None:
    """The option that lies least behind the leader in the worlds that both met; None where there is no other."""
    others = [name for name in those if name != leader]
    return min(others, key=lambda name: float(lead(leader, name).mean()), default=None)


def conclude(
    those: Field, rule: Rule, choice: Choice, lead: Lead, failures: Failures, fresh: Sample | None
) -> Findings:
    """What may be said after a choice.

    Parameters
    ----------
    those : Field
        Who takes part, in the worlds that all met.
    rule : Rule
        What the choice is made by.
    choice : Choice
        How it went.
    lead : callable
        See :data:`Lead`.
    failures : Failures
        Of all runs, fresh ones too.
    fresh : Sample or None
        Base, leader and the next in line in worlds that the choice had not seen: gains are told from these. Without
        them, from the worlds of the choice.

    Notes
    -----
    The one option that is left is recommended, unless fresh worlds say that it brings less than is cared about beside
    the base (then that is the answer: it costs nothing to start), do not surely put it above the base, or surely put it
    below the next in line.
    """
    ranked = in_line(choice.survivors, lead)
    leader = ranked[0]
    other = next_in_line(leader, entrants(those), lead)
    start = replace(opening(those, rule), leader=leader, runner_up=other, failed=dict(failures.failed))
    blocked = failures.blocked_by
    if (
        blocked is None and choice.ended == "failed runs"
    ):  # few of all, but all of some worlds after one another
        blocked = max(choice.survivors, key=lambda name: failures.failed.get(name, 0))
    start = replace(start, blocked_by=blocked)

    def ahead(option: str, against: str | None) -> Interval | None:
        if against is None or option == against or against not in those.options:
            return None
        if fresh is not None and {option, against} <= set(fresh.options):
            return interval(
                fresh.of(option) - fresh.of(against), rule.confidence, max(1, len(fresh.options) - 1)
            )
        return interval(lead(option, against), rule.confidence, max(1, len(those.options) - 1))

    gain = ahead(leader, rule.base)
    found = replace(
        start,
        gain=gain,
        ahead=ahead(leader, other),
        contenders=tuple(ranked),
        runs_needed=choice.worlds_needed,
    )
    if start.blocked_by:
        return replace(found, verdict="failed runs")
    if len(ranked) > 1:
        return replace(found, verdict="cannot tell")
    if gain is not None and rule.base not in those.refused and gain.high < rule.worth_caring_about:
        return replace(
            found,
            verdict="best",
            best=rule.base,
            gain=None,
            runner_up=leader,
            ahead=ahead(rule.base, leader),
            contenders=(),
            close=(leader,),
        )
    against = _not_below(leader, other, found, rule, those)
    if against or fresh is None:
        return replace(found, verdict="cannot tell", contenders=(leader, *against), unconfirmed=True)
    worth = rule.worth_caring_about
    close = found.ahead is not None and -worth < found.ahead.low and found.ahead.high < worth
    return replace(
        found, verdict="best", best=leader, contenders=(), close=(other,) if other and close else ()
    )
