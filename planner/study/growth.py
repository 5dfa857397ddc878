"""What a little more of each thing is worth to a business, as one value.

In: what was worked out. Out: ``Growth``. Must not know: runs, words, files.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import Literal

from planner.study.failures import FailedRun
from planner.study.increments import LeftOut
from planner.study.intervals import Interval
from planner.study.limits import Refusal
from planner.study.prices import Price
from planner.study.study import Subject
from planner.trade.safety import Caution

Verdict = Literal["more", "unsure", "nothing", "less"]
"""Surely brings more; cannot be told from nothing; surely less than what is worth caring about; surely brings less."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Free hours that went unused for one limit [h a year]."""

    limit: str
    words: str
    hours: Interval


@dataclass(frozen=True, slots=True)
class Worth:
    """What a little more of one thing brings. Money a year, before what the thing itself costs.

    Parameters
    ----------
    key, limit, name, words, unit : str
        See :class:`planner.study.increments.Increment`.
    inputs : tuple of str
        What is different in the scenario.
    amount : float
        How many units more.
    gain, profit : Interval
        Paired difference of money after the owner's hours, and before; those of all increments hold together.
    per_unit : Interval
        The gain for each unit.
    hours : Interval
        Paired difference of the owner's hours.
    price : Price or None
        What a unit costs, where an option tells it.
    per_money : Interval or None
        The gain a year for each unit of money spent.
    verdict : Verdict
        What the gain's interval says.
    payback_months : float or None
        Until what it brings, at its mean, has paid what it costs; None without a price, or where it brings nothing.
    allowed : bool
        Does the business break no hard limit with it?
    lopsided : bool
        Do a few worlds lie so far from the others that the gain's interval may err more often than it says?
    """

    key: str
    limit: str
    name: str
    words: str
    unit: str
    inputs: tuple[str, ...]
    amount: float
    gain: Interval
    profit: Interval
    per_unit: Interval
    hours: Interval
    price: Price | None
    per_money: Interval | None
    verdict: Verdict
    payback_months: float | None = None
    allowed: bool = True
    lopsided: bool = False

    @property
    def cost(self) -> float | None:
        """What this much of it costs; None where nobody tells."""
        return None if self.price is None else self.price.each * self.amount


@dataclass(frozen=True, slots=True)
class Growth:
    """What holds a business back.

    Parameters
    ----------
    option : str
        The business that was looked at: as it is once this option is taken.
    money, profit, free_hours : Interval
        Money after the owner's hours and before, and free hours, as the business is.
    lost : tuple of Lost
        Limits that free hours were lost to, most first.
    worths : tuple of Worth
        Ranked: what surely brings most first.
    level_with_first : tuple of str
        Keys of increments that surely bring more, too, but cannot be told from the first.
    left_out : tuple of LeftOut
        What could not be tried, and why.
    refusals : tuple of Refusal
        Hard limits that the business breaks as it is.

    Others as in :class:`planner.study.study.Study`.
    """

    subject: Subject
    option: str
    money: Interval
    profit: Interval
    free_hours: Interval
    lost: tuple[Lost, ...]
    worths: tuple[Worth, ...]
    level_with_first: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    refusals: tuple[Refusal, ...]
    failures: tuple[FailedRun, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]

    @property
    def first(self) -> Worth | None:
        """What to grow first; None where nothing surely brings more, or a hard limit stays broken with it."""
        return next((one for one in self.worths if one.verdict == "more" and one.allowed), None)

    @property
    def base_failed(self) -> int:
        """Runs of the business as it is that have no result; too many of them, and nothing is told."""
        return self.subject.replicates - self.money.n

    @property
    def first_for_money(self) -> Worth | None:
        """What surely brings most for the money it costs, of what has a price."""
        sure = (one for one in self.worths if one.verdict == "more" and one.allowed)
        priced = [one for one in sure if one.per_money is not None]
        return max(priced, key=lambda one: one.per_money.mean if one.per_money else nan, default=None)

    def lost_to(self, limit: str) -> float:
        """Free hours a year that were lost to a limit [h]."""
        return next((one.hours.mean for one in self.lost if one.limit == limit), 0.0)
