"""What a study costs, before it is played: runs, time, memory.

In: a scenario, how many runs, how many processes. Out: ``Outlay``; a study that would take too long or more memory than
there is is refused. Must not know: what the runs are for, the terminal.

Sizes come from the settings of built-in models (and of those of packages that extend them); what a model of a package
draws is not known before it is asked, and counts nothing. Times are those of `planner.scenario.toll`, and of the same
kind.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from math import fsum
from typing import Final, Protocol, runtime_checkable

from planner.compiled import in_use
from planner.plugin.builtin.crowd_settings import CrowdSettings
from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.builtin.shops import GAP_DAYS
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.toll import BUCKET_S, DAY_S, ENQUIRY_S, NEED_BYTES, NEED_S, in_memory, lasting
from planner.study.budget import FURTHER_RUNS, BudgetError
from planner.workshop.measures import MEASURES
from planner.workshop.months import MONTH_FIGURES
from planner.world.build import MOST_DRAWN, horizon_of

MAY_TAKE_H: Final = 12.0
"""What surely takes longer is refused, unless the scenario allows for it (``study.may_take``; assumed)."""
LONGEST_ALLOWED_S: Final = 30 * 86400.0
"""Nobody is told how to wait longer than this [s]."""
WORTH_TELLING_S: Final = 180.0
"""What takes longer is told before it begins [s]."""

RUN_S: Final = 0.004
WAITING_S: Final = 1.6e-7
"""An enquiry for each buyer who waits: every change of the stock is looked at for all of them."""
WORLD_S: Final = 0.005
"""To draw a world, which options share."""
COMPILED: Final = 0.65
"""With a compiled inner loop; 0.5 to 0.9 was measured, the more buyers ask the nearer to 1."""
HEARD_A_YEAR: Final = 0.5
"""Of those who do not know of the business, so many ask in the course of a year on average (assumed)."""
SERVED_LATE: Final = 0.5
"""So much of their patience passes before buyers are served, on average (assumed)."""
DRAWN_S: Final = 0.006
"""More a run where inputs are drawn anew in every world, and with them businesses, models and heat tables."""

FIGURE_BYTES: Final = 210
"""A figure of a run, in its outcome and in the tables made of it (measured: 30 kB a run of 140 figures)."""
PROGRAM_BYTES: Final = 230_000_000
"""The program with all that it has loaded, its page included (measured)."""
MEMORY_SHARE: Final = 0.8
"""Of the machine's memory, for this program (assumed)."""
UNKNOWN_BYTES: Final = 4_000_000_000
"""Where the system does not say how much it has (assumed)."""


@dataclass(frozen=True, slots=True)
class Size:
    """What a run of a business is about, by its settings.

    Parameters
    ----------
    days : int
        Played.
    buckets, needs, enquiries : float
        That shops fill, that are drawn of buyers, and that those who know of the business make, about.
    waiting : float
        Buyers who wait at once, about, if nobody is served.
    """

    days: int
    buckets: float
    needs: float
    enquiries: float
    waiting: float

    @property
    def run_s(self) -> float:
        """One run in a world that is there [s]."""
        found = RUN_S + DAY_S * self.days + BUCKET_S * self.buckets + NEED_S * self.needs
        return found + self.enquiries * (ENQUIRY_S + WAITING_S * self.waiting)

    @property
    def world_s(self) -> float:
        """To draw the world [s]."""
        return WORLD_S + DAY_S * self.days + BUCKET_S * self.buckets + NEED_S * self.needs


@dataclass(frozen=True, slots=True)
class Outlay:
    """What runs cost, about.

    Parameters
    ----------
    runs : int
        How many are to be played.
    processor_s : float
        Time of one processor [s].
    workers : int
        Processors that share it.
    memory_mb : float
        Of the process that keeps them [MB].
    drawn : float
        Buckets and needs of buyers that the largest world holds.
    """

    runs: int
    processor_s: float
    workers: int
    memory_mb: float
    drawn: float

    @property
    def seconds(self) -> float:
        """On the clock [s]."""
        return self.processor_s / self.workers

    @property
    def words(self) -> str:
        """In one sentence's end: 12,000 runs: about 4 minutes on 2 processors, 300 MB."""
        on = "1 processor" if self.workers == 1 else f"{self.workers} processors"
        return f"{self.runs:,} runs: about {lasting(self.seconds)} on {on}, {in_memory(self.memory_mb)}"


@runtime_checkable
class Foretold(Protocol):
    """Whoever wants to be told before something long begins."""

    def foretell(self, words: str) -> None:
        """Say it."""
        ...


def size_of(business: Business) -> Size:
    """What a run of this business is about."""
    days = horizon_of(business).days
    buckets = needs = enquiries = waiting = 0.0
    for source in business.supply:
        settings = source.settings
        if isinstance(settings, ShopsSettings):
            gaps = (place.gap_days or GAP_DAYS[place.kind] for place in settings.shops.values())
            buckets += fsum(days / max(gap.mean, 1e-6) for gap in gaps)
    for buyers in business.demand:
        settings = buyers.settings
        if isinstance(settings, CrowdSettings):
            gap, patience = max(settings.gap_days.mean, 1e-6), settings.patience_days.mean
            asking = settings.known + HEARD_A_YEAR * min(1.0, days / 365.0) * (
                settings.people - settings.known
            )
            needs += settings.people * (days / gap + 8.0)
            enquiries += asking * days / (gap + SERVED_LATE * patience)
            waiting += asking * patience / (gap + patience)
    return Size(days, buckets, needs, enquiries, waiting)


def outlay(scenario: Scenario, runs: int, workers: int = 1, kept: int = 0) -> Outlay:
    """What so many runs of a scenario cost, of all its options and outlooks alike, some of them played before."""
    every = [
        *(scenario.business(name) for name in scenario.options),
        *(scenario.business(AS_TODAY, name) for name in scenario.outlooks if name != EXPECTED),
    ]
    sizes = [size_of(one) for one in every]
    share = 1.0 / max(1, len(scenario.options))
    run_s = fsum(one.run_s + share * one.world_s for one in sizes) / len(sizes)
    run_s = run_s * (COMPILED if in_use() else 1.0) + (DRAWN_S if scenario.estimates else 0.0)
    largest = max(sizes, key=lambda one: one.needs + one.buckets)
    months = max(size.days for size in sizes) / 30.0
    held = runs * FIGURE_BYTES * (len(MEASURES) + len(MONTH_FIGURES) * months / len(scenario.outlooks))
    drawn = largest.needs + largest.buckets
    left = max(0, runs - kept)
    return Outlay(
        left,
        left * run_s,
        workers,
        (PROGRAM_BYTES + held + NEED_BYTES * min(MOST_DRAWN, drawn)) / 1e6,
        drawn,
    )


def comparison(scenario: Scenario) -> Outlay:
    """What a whole comparison costs one processor: every option under every outlook, and what choosing may take."""
    met = len(scenario.options) * len(scenario.outlooks) * scenario.study.replicates
    budget = scenario.study.budget
    return outlay(scenario, met + FURTHER_RUNS if budget is None else max(met, budget))


def foresee(
    scenario: Scenario, least: int, workers: int, listener: object = None, kept: int = 0, allowed: int = 0
) -> None:
    """Refuse what would surely take too long or too much memory; tell of what takes some minutes.

    Runs that are kept from before take memory, but no time. A budget may allow more runs than are taken at least.

    Raises
    ------
    BudgetError
        In one plain sentence, with what would make it shorter.
    """
    found = outlay(scenario, max(least, allowed), workers, kept=kept)
    if found.drawn > MOST_DRAWN:
        raise BudgetError(
            f"one run is about {found.drawn:,.0f} buckets and needs of buyers, and {MOST_DRAWN:,} at most can be "
            "drawn; make the gaps between them longer (supply, demand), or the shops and the people fewer"
        )
    written = scenario.study.may_take_h
    may_take_h = MAY_TAKE_H if written is None else written
    shorter = (
        "a smaller budget (study.budget, --budget) makes it less"
        if allowed > least
        else "fewer options, outlooks or worlds (study.replicates, --replicates) make it less"
    )
    if found.memory_mb * 1e6 > memory_bytes():
        raise BudgetError(
            f"{found.words}: that is more memory than this machine has to give "
            f"({in_memory(memory_bytes() / 1e6)}); {shorter}"
        )
    if found.seconds > 3600.0 * may_take_h:
        allow = (
            f", or allow for it in the scenario (study: {{may_take: {2 * round(found.seconds / 3600.0)} h}})"
        )
        raise BudgetError(
            f"{found.words}: more than the {lasting(3600.0 * may_take_h)} that a study may take; {shorter}"
            f"{allow if found.seconds < LONGEST_ALLOWED_S else ''}"
        )
    if found.seconds > WORTH_TELLING_S and isinstance(listener, Foretold):
        listener.foretell(f"To be played: {found.words}; {shorter}.")


def memory_bytes() -> float:
    """What this program may take of the machine's memory."""
    try:
        return MEMORY_SHARE * os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, OSError, ValueError):  # not on every system
        return UNKNOWN_BYTES
