"""Which engine executes the runs of a scenario: what somebody asks for, and what is taken where nobody does.

In: a scenario's player, how many processes, a name and an address. Out: an engine. Must not know: what runs are for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.engine.as_needed import AsNeeded
from planner.engine.batch import Engine, EngineError
from planner.engine.here import Here
from planner.engine.player import Player, Setting
from planner.engine.processes import Processes
from planner.plugin.packages import is_outside
from planner.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Where:
    """Where runs are to be executed."""

    engine: Literal["here", "processes", "dask"]
    """In this process; in processes of this machine, however short the work; on a cluster."""
    scheduler: str | None = None
    """Address of a cluster's scheduler; one of this machine's processes is started if left out."""


def patience_s(scenario: Scenario) -> float | None:
    """How long one run of a scenario may take [s]; None where it does not say."""
    patience_min = scenario.study.patience_min
    return None if patience_min is None else 60.0 * patience_min


def engine_for(
    setting: Setting, player: Player, workers: int, least_s: float = 0.0, where: Where | None = None
) -> Engine:
    """An engine for the runs of a scenario.

    Models of packages are asked in processes beside this one, if there may be any: whatever they do does not end us.

    Parameters
    ----------
    setting : Setting
        Makes players.
    player : Player
        The one of this process.
    workers : int
        Processes at most.
    least_s : float
        How much work there surely is [s].
    where : Where, optional
        What somebody asks for. If left out: here, and in processes what takes long.
    """
    scenario, patient_s = setting.scenario, patience_s(setting.scenario)
    if where is None:
        return AsNeeded(
            setting,
            workers,
            play=player,
            at_least_s=least_s,
            patience_s=patient_s,
            apart=any(map(is_outside, scenario.models)),
        )
    if where.engine == "here":
        return Here(setting, player, patient_s)
    if where.engine == "processes":
        return Processes(setting, workers, patience_s=patient_s)
    try:
        from planner.engine.cluster import Cluster
    except ModuleNotFoundError as error:
        raise EngineError(
            f"Dask is not installed here ({error.name} is missing); install it with pip install 'planner[dask]'"
        ) from None
    from planner.engine.papers import needs_of

    return Cluster(setting, workers, where.scheduler, patience_s=patient_s, needs=needs_of(scenario))
