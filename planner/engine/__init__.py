"""Where runs are executed: in this process, in processes beside it, or on a cluster; and where they are kept.

In: which worlds to play with which options, and how to make a player. Out: one outcome for each run, in any order.
Must not know: what the outcomes are for, files, the terminal. Names are imported when they are first asked for: a
process beside ours needs only what its player does.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.engine.as_needed import AsNeeded as AsNeeded
    from planner.engine.batch import Batch as Batch
    from planner.engine.batch import Engine as Engine
    from planner.engine.batch import EngineError as EngineError
    from planner.engine.batch import Failure as Failure
    from planner.engine.batch import Make as Make
    from planner.engine.batch import Outcome as Outcome
    from planner.engine.batch import Play as Play
    from planner.engine.batch import worlds as worlds
    from planner.engine.here import Here as Here
    from planner.engine.processes import Processes as Processes
    from planner.engine.signs import Signs as Signs
    from planner.engine.store import Store as Store
    from planner.engine.store import StoreError as StoreError
    from planner.engine.stored import Stored as Stored
    from planner.engine.where import Where as Where
    from planner.engine.where import engine_for as engine_for
    from planner.engine.where import patience_s as patience_s

_HOMES = {
    "AsNeeded": "as_needed",
    "Batch": "batch",
    "Engine": "batch",
    "EngineError": "batch",
    "Failure": "batch",
    "Here": "here",
    "Make": "batch",
    "Outcome": "batch",
    "Play": "batch",
    "Processes": "processes",
    "Signs": "signs",
    "Store": "store",
    "StoreError": "store",
    "Stored": "stored",
    "Where": "where",
    "engine_for": "where",
    "patience_s": "where",
    "worlds": "batch",
}

__all__ = [
    "AsNeeded",
    "Batch",
    "Engine",
    "EngineError",
    "Failure",
    "Here",
    "Make",
    "Outcome",
    "Play",
    "Processes",
    "Signs",
    "Store",
    "StoreError",
    "Stored",
    "Where",
    "engine_for",
    "patience_s",
    "worlds",
]


def __getattr__(name: str) -> Any:
    """Import a name from its home when it is first used."""
    if name in _HOMES:
        return getattr(import_module(f"planner.engine.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
