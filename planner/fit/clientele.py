"""Buyers as they stand on a day in the middle: how many still come, and how soon each asks next.

In: the days before, played in some worlds. Out: what to set for the days after. Must not know: records.

At its start a scenario has people of whom each is somewhere within a gap, as chance has it. Later on those who were
never served stay away and friends have come; and who has a long gap before them is met more often than who has a short
one, so the next needs of people who have come back for a while lie further off than at the start.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any, Final

import numpy as np

from planner.engine.player import Player, Setting, uncollected
from planner.plugin.builtin.crowd_settings import CrowdSettings
from planner.scenario import Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.inputs import Input
from planner.scenario.spread import Spread
from planner.workshop.result import Run

WORLDS: Final = 20
"""In which the days before are played: how many still come is then known to a tenth of a person or two."""
POINTS: Final = 40
"""Of the distribution of the days until the next need."""
LIKELY: Final = 2000
"""Gaps that are looked at for it."""
CAME, WENT = ("new buyer",), ("buyer stays away", "buyer lost")
"""Words of the diary."""
UNSERVED: Final = ("stock", "time")
"""Causes of those who waited in vain; who finds it too dear goes at once."""


def played(before: Scenario, seed: int) -> list[Run]:
    """The days before, in some worlds; those in which the run fails are left out: the days after tell of it."""
    player = Player(Setting(before, seed))
    found: list[Run] = []
    for number in range(WORLDS):
        with suppress(Exception), uncollected():
            found.append(player.run(AS_TODAY, EXPECTED, number))
    return found


def clientele(before: Scenario, runs: Sequence[Run]) -> Iterator[tuple[str, int, tuple[Input, ...]]]:
    """Each class of buyers at the end of a scenario's days: its name, how many come, and what to set.

    Parameters
    ----------
    before : Scenario
        Of the days before.
    runs : sequence of Run
        As it was played.
    """
    for number, entry in enumerate(before.business().demand, 1):
        settings, name = entry.settings, entry.name or str(number)
        if not runs or not isinstance(settings, CrowdSettings):
            continue
        known = settings.known + float(np.mean([_more(run, entry.name) for run in runs]))
        come = min(settings.people, max(0, round(known)))
        waited = [days for run in runs for days in _waited(run, entry.name, settings.patience_days.mean)]
        first = until_next(settings.gap_days, float(np.mean(waited)) if waited else 0.0)
        path = f"demand.{name}.settings"
        written: Any = first.written("day", before.currency)
        yield name, come, (Input(f"{path}.known", come), Input(f"{path}.first", written))


def _more(run: Run, name: str) -> int:
    """How many more of a class come at the end than at the start."""
    whats: Sequence[str] = [note.what for note in run.notes if note.who == name]
    return sum(what in CAME for what in whats) - sum(what in WENT for what in whats)


def _waited(run: Run, name: str, patience_days: float) -> Iterator[float]:
    """How long each need of a class took to end [days]; whoever was not served waited as long as people do."""
    yield from (sale.waited_h / 24.0 for sale in run.sales if sale.buyers == name)
    yield from (patience_days if lost.cause in UNSERVED else 0.0 for lost in run.lost if lost.buyers == name)


def until_next(gap: Spread, waited_days: float) -> Spread:
    """Days until the next need of somebody who has come back for a long while, seen from any day.

    Parameters
    ----------
    gap : Spread
        From one need's end to the next need [days].
    waited_days : float
        How long a need waits on average: so long somebody is waiting now.

    Notes
    -----
    A renewal process seen from a day far from its start: the time to the next event has distribution function
    E min(gap, x) / E gap (Cox 1962, Renewal Theory, section 5.2, from memory).
    """
    gaps = np.sort(np.maximum(gap.from_uniform((np.arange(LIKELY) + 0.5) / LIKELY), 0.0))
    mean = float(gaps.mean())
    left = np.arange(LIKELY)[::-1]
    until = (np.cumsum(gaps) + left * gaps) / LIKELY
    days = np.interp(
        (np.arange(POINTS) + 0.5) / POINTS * mean,
        np.concatenate([[0.0], until]),
        np.concatenate([[0.0], gaps]),
    )
    waiting = waited_days / (mean + waited_days) if waited_days > 0.0 else 0.0
    weights = (waiting, *[(1.0 - waiting) / POINTS] * POINTS)
    return Spread("choice", (0.0, *days.tolist()), weights, low=0.0)
