"""Where runs are executed: in this process, or in processes beside it.

In: which worlds to play with which options, and how to make a player. Out: one outcome for each run, in any order.
Must not know: what the outcomes are for, files, the terminal.
"""

from __future__ import annotations

from planner.engine.as_needed import AsNeeded
from planner.engine.batch import Batch, Engine, Failure, Make, Outcome, Play, worlds
from planner.engine.here import Here
from planner.engine.processes import EngineError, Processes
from planner.engine.signs import Signs

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
    "worlds",
]
