"""Many runs and what they say: a comparison, one option alone, what follows without playing.

In: a scenario. Out: values with tables and findings (``Study``, ``Played``, ``Check``). Must not know: files written,
the terminal. Names are imported when they are first asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.study.budget import BudgetError as BudgetError
    from planner.study.checking import Check as Check
    from planner.study.checking import check as check
    from planner.study.comparison import available_workers as available_workers
    from planner.study.comparison import compare as compare
    from planner.study.comparison import outlooks_to_play as outlooks_to_play
    from planner.study.findings import Findings as Findings
    from planner.study.growing import grow as grow
    from planner.study.growth import Growth as Growth
    from planner.study.hinge import Hinges as Hinges
    from planner.study.hinges import hinges_of as hinges_of
    from planner.study.intervals import Interval as Interval
    from planner.study.looking import CheckError as CheckError
    from planner.study.single import Played as Played
    from planner.study.single import run as run
    from planner.study.sources import load as load
    from planner.study.study import Study as Study
    from planner.study.trace import Trace as Trace

_HOMES = {
    "BudgetError": "budget",
    "Check": "checking",
    "CheckError": "looking",
    "Findings": "findings",
    "Growth": "growth",
    "Hinges": "hinge",
    "hinges_of": "hinges",
    "Interval": "intervals",
    "Played": "single",
    "Study": "study",
    "Trace": "trace",
    "available_workers": "comparison",
    "check": "checking",
    "compare": "comparison",
    "grow": "growing",
    "load": "sources",
    "outlooks_to_play": "comparison",
    "run": "single",
}

__all__ = [
    "BudgetError",
    "Check",
    "CheckError",
    "Findings",
    "Growth",
    "Hinges",
    "Interval",
    "Played",
    "Study",
    "Trace",
    "available_workers",
    "check",
    "compare",
    "grow",
    "hinges_of",
    "load",
    "outlooks_to_play",
    "run",
]


def __getattr__(name: str) -> Any:
    """Import a name from its home when it is first used."""
    if name in _HOMES:
        return getattr(import_module(f"planner.study.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
