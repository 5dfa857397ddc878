"""Lot simulation and scenario planner for a one-person side business in scrap lead.

What comes in: names asked for. What goes out: the dozen names that a script needs, each imported only when it is
first asked for (PEP 562), so that ``planner --help`` costs nothing. It must not import any stage at module level.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

#: Public name -> module that defines it.
_HOME = {
    "Comparison": "planner.report.notebook",
    "InputError": "planner.scenario",
    "Scenario": "planner.scenario",
    "Study": "planner.study",
    "World": "planner.world.parts",
    "check": "planner.study",
    "compare": "planner.report.notebook",
    "load": "planner.study",
    "run": "planner.study",
    "stored": "planner.report.notebook",
}

__all__ = [
    "Comparison",
    "InputError",
    "Scenario",
    "Study",
    "World",
    "__version__",
    "check",
    "compare",
    "load",
    "run",
    "stored",
]


def __getattr__(name: str) -> Any:
    """Import a public name from its home when it is first used."""
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, whether imported yet or not."""
    return sorted(__all__)
