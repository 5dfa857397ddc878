"""What the user writes, made into checked values in internal units.

In: YAML files. Out: a `Scenario` and one `Business` for each option and outlook. Knows nothing of
chance drawn, of the workshop or of plugins: a registry of settings classes is passed in.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOMES = {
    "Given": "inputs",
    "Input": "inputs",
    "Taken": "inputs",
    "InputError": "errors",
    "Problem": "errors",
    "Scenario": "loading",
    "Registry": "registry",
    "UnknownModel": "registry",
    "load": "loading",
    "Section": "section",
    "Choice": "section",
    "DataFile": "data",
    "Spread": "spread",
}

__all__ = [
    "Choice",
    "DataFile",
    "Given",
    "Input",
    "InputError",
    "Problem",
    "Registry",
    "Scenario",
    "Section",
    "Spread",
    "Taken",
    "UnknownModel",
    "load",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f"planner.scenario.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
