"""What is imported when: a package that no scenario names costs nothing, and one that is named costs little.

In: the modules that make up a model's package. Out: what a fresh interpreter holds before and after they are imported.
Must not know: models.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from typing import Final, NamedTuple

HEAVY: Final = frozenset(
    {
        "IPython", "SALib", "altair", "bokeh", "dask", "ema_workbench", "matplotlib", "numba", "pandas", "plotly",
        "polars", "pvlib", "pyarrow", "seaborn", "simpy", "sklearn", "statsmodels", "sympy", "tensorflow", "torch",
        "vl_convert", "xarray",
    }
)  # fmt: skip
"""Top packages that take long to import; a model imports them where it reads its data, in ``build``."""
CORE: Final = "planner"

_PROBE: Final = """
import importlib, json, sys
from planner.plugin.registry import Registry
registry = Registry()
for kind, name in {named!r}:
    registry.provider(kind, name)
before = sorted(sys.modules)
for name in {modules!r}:
    importlib.import_module(name)
print("\\n" + json.dumps([before, sorted(sys.modules)]))
"""
_NAMED: Final = (
    ("pricing", "core.fixed"),
    ("supply", "core.shops"),
    ("weather", "core.synthetic"),
    ("rates", "core.fixed"),
    ("demand", "core.returning"),
)


class Imported(NamedTuple):
    """Modules that a fresh interpreter holds."""

    unnamed: frozenset[str]
    """With models of the planner's own in use."""
    named: frozenset[str]
    """Once the package is imported too."""


@cache
def imported(modules: tuple[str, ...]) -> Imported:
    """Ask a fresh interpreter, which sees what this one sees.

    Raises
    ------
    AssertionError
        The modules cannot be imported by themselves.
    """
    own = all(module.partition(".")[0] == CORE for module in modules)
    probe = _PROBE.format(named=() if own else _NAMED, modules=modules)
    path = os.pathsep.join(part for part in sys.path if part)
    done = subprocess.run(
        [sys.executable, "-c", probe],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": path},
    )
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no message"])[-1]
        raise AssertionError(f"{', '.join(modules)} cannot be imported in a fresh interpreter: {last}")
    before, after = json.loads(done.stdout.splitlines()[-1])
    return Imported(frozenset(before), frozenset(after))


def heavy(modules: frozenset[str]) -> list[str]:
    """Top packages among these that take long to import."""
    return sorted({module.partition(".")[0] for module in modules} & HEAVY)
