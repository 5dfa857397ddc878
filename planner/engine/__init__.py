"""Where runs are executed: in this process, in processes beside it, or on a cluster; and where they are kept.

In: which worlds to play with which options, and how to make a player. Out: one outcome for each run, in any order.
Must not know: what the outcomes are for, files, the terminal.
"""

from __future__ import annotations

from planner.engine.as_needed import AsNeeded
from planner.engine.batch import Batch, Engine, EngineError, Failure, Make, Outcome, Play, worlds
from planner.engine.here import Here
from planner.engine.processes import Processes
from planner.engine.signs import Signs
from planner.engine.store import Store, StoreError
from planner.engine.stored import Stored
from planner.engine.where import Where, engine_for, patience_s

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
