"""The ladder: what to do first, second, third, within a sum of money, each step on top of those before.

In: what was found at each step. Out: ``Ladder``, plain values. Must not know: how runs are made, words, files.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.study.failures import FailedRun
from planner.study.intervals import Interval
from planner.study.study import Subject
from planner.trade.safety import Caution

Chain = tuple[str, ...]
"""Options taken one after the other; none: as today."""

Reason = Literal["little", "cannot tell", "money", "nothing left", "failed runs", "refused"]
"""Why a ladder ends: the next step brings less than is cared about; cannot be told from nothing; nothing that is left
can be paid; nothing is left; runs of what is taken fail; what is done today breaks a hard limit.
"""

Why = Literal["refused", "impossible", "failed runs", "changes nothing"]


@dataclass(frozen=True, slots=True)
class Standing:
    """What the business is like after some steps; means over the fresh worlds, of the time that a figure stands for."""

    money: float
    """Before the owner's hours are priced [currency]."""
    after_hours: float
    """After [currency]."""
    hours_a_week: float
    exposure_h: float
    """Hours exposed to lead."""


@dataclass(frozen=True, slots=True)
class Cheaper:
    """What comes in the place of a step for whom has less than that costs: it is worth it by itself.

    Parameters
    ----------
    options : tuple of str
        What is done.
    cost : float
        Of it.
    gain : Interval
        Beside the steps before, in the fresh worlds; its interval holds together with those of all steps.
    """

    options: Chain
    cost: float
    gain: Interval


@dataclass(frozen=True, slots=True)
class Rung:
    """One row a step. Money in the scenario's currency; gains of the time that a figure stands for, in fresh worlds.

    Parameters
    ----------
    options : tuple of str
        What is done: one option; or two, which pay only together.
    cost, resale : float
        Of this step alone.
    spent, left : float
        With the steps before; what is left of the sum.
    gain : Interval
        After the owner's hours are priced, beside the steps before. The intervals of all steps hold together, with
        those of ``altogether`` and of what is cheaper.
    altogether : Interval
        The same of all steps so far, beside as today.
    money, hours : float
        What this step brings in money alone, and the owner's hours that it takes, at its mean.
    after : Standing
        What the business is like then.
    hour_price_low, hour_price_high : float or None
        Prices of an hour between which it pays, at its mean; None where there is no such end.
    payback_months : float or None
        Until its cost is paid back, hours priced; None where that is never.
    replaces : tuple of str
        Earlier steps that set what this one sets anew.
    as_good : tuple of tuples of str
        Steps that could not be told from this one when it was picked.
    tried : int
        Steps that were tried in its place, it included.
    cheaper : Cheaper or None
        The best of the steps tried that cost less, told of a step that is taken; None where none of them is worth it.
    """

    options: Chain
    cost: float
    resale: float
    spent: float
    left: float
    gain: Interval
    altogether: Interval
    money: float
    hours: float
    after: Standing
    hour_price_low: float | None
    hour_price_high: float | None
    payback_months: float | None
    replaces: tuple[str, ...]
    as_good: tuple[Chain, ...]
    tried: int
    cheaper: Cheaper | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """Where a ladder ends.

    Parameters
    ----------
    reason : Reason
    looked_at : Rung or None
        The next step, which was not taken; None where there was none.
    words : str
        The hard limit that is broken.
    """

    reason: Reason
    looked_at: Rung | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class SetAside:
    """One row an option that could be no step, when it was last looked at."""

    option: str
    why: Why
    words: str
    after: Chain
    """What was taken then."""


@dataclass(frozen=True, slots=True)
class TooDear:
    """One row an option that costs more than was left in the end."""

    option: str
    cost: float


@dataclass(frozen=True, slots=True)
class Spare:
    """A step that the last of the ladder makes superfluous, or nearly.

    Parameters
    ----------
    options : tuple of str
        The step.
    cost : float
        What is not spent without it.
    gain : Interval
        What all the others bring without it, beside all of them; below zero, less.
    """

    options: Chain
    cost: float
    gain: Interval


@dataclass(frozen=True, slots=True)
class Ladder:
    """Steps in the order in which to take them.

    Parameters
    ----------
    subject : Subject
        Scenario, seed, versions; ``replicates`` is the number of fresh worlds.
    inputs : tuple of str
        Values of the scenario that are others, as they are written on the command line.
    sum : float
        What may be spent on all steps together [currency].
    sum_given : bool
        Did somebody say so? Else it is the cash at the start less the reserve.
    hour_price : float
        What the scenario says [currency/h].
    today : Standing
        What the business is like without any step.
    rungs : tuple of Rung
        The steps.
    stop : Stop
        Why there is no further one.
    set_aside : tuple of SetAside
        What could be no step.
    too_dear : tuple of TooDear
        What could not be paid from what was left in the end.
    spares : tuple of Spare
        Steps to be left out by who goes all the way.
    first_worlds, most_worlds : int
        Worlds in which every step that may come next is tried; in which those close to the best are, at most.
    runs : int
        How many were played.
    """

    subject: Subject
    inputs: tuple[str, ...]
    sum: float
    sum_given: bool
    hour_price: float
    today: Standing
    rungs: tuple[Rung, ...]
    stop: Stop
    set_aside: tuple[SetAside, ...]
    too_dear: tuple[TooDear, ...]
    spares: tuple[Spare, ...]
    first_worlds: int
    most_worlds: int
    runs: int
    failures: tuple[FailedRun, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]
