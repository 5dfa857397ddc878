"""The inner loop of a run as machine code, where it was built: the same modules, the same figures, half the time.

In: the modules named here, as they are now. Out: where their compiled twins lie, if they were made from exactly this.
Must not know: what the modules do. ``python -m planner.compiled`` makes the twins with mypyc, as ``make setup`` does.

A package that has twins puts `twins` in front of its own folder, so that Python finds those first. Twins lie in a
folder named after the digest of the sources that they were made from, so a changed source never meets an old twin:
the modules are then played as they stand, slower. So it goes too where there is no C compiler, or where
``PLANNER_AS_PYTHON`` is set.
"""

from __future__ import annotations

import os
import sys
import sysconfig
from functools import cache
from hashlib import sha256
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Final

MODULES: Final = (
    "trade/charge",
    "trade/cylinder",
    "trade/heat",
    "trade/heat_table",
    "trade/loading",
    "trade/melting",
    "trade/pot",
    "workshop/ask",
    "workshop/calendar",
    "workshop/crew",
    "workshop/drying",
    "workshop/enquiries",
    "workshop/fetch",
    "workshop/floor",
    "workshop/melt",
    "workshop/owner",
    "workshop/serve",
    "workshop/shops",
    "workshop/sort",
    "workshop/yard",
)
"""Modules of planner that have a compiled twin."""

SEEN: Final = ("compiled", "scenario", "trade", "workshop", "world")
"""Packages of planner whose types and constants go into the twins, and what makes them."""

GROUP: Final = "twins_of_planner"
SHARED: Final = f"{GROUP}__mypyc"
"""The library that all twins share, as mypyc names it."""

AS_PYTHON: Final = "PLANNER_AS_PYTHON"
"""Environment variable; if set to anything, twins are not used."""

PACKAGE: Final = Path(__file__).resolve().parents[1]
TWINS: Final = Path(__file__).resolve().parent / "twins"


@cache
def folder() -> Path:
    """Where twins made from the sources as they are now lie, or would lie, for this Python on this machine."""
    said = sha256()
    for package in SEEN:
        for source in sorted((PACKAGE / package).rglob("*.py")):
            said.update(f"{source.relative_to(PACKAGE).as_posix()}\n".encode() + source.read_bytes())
    return TWINS / f"{said.hexdigest()[:16]}-{sysconfig.get_config_var('SOABI')}"


def twins(package: str) -> list[str]:
    """Folder of the twins of a package, to be put in front of its own; nothing where there are none to use."""
    if os.environ.get(AS_PYTHON) or not TWINS.is_dir() or not folder().is_dir():
        return []
    try:
        _load_shared()
    except ImportError:  # made on another machine
        return []
    return [str(folder() / PACKAGE.name / package)]


def in_use() -> bool:
    """Are twins played in this process, and not the modules as they stand?"""
    return SHARED in sys.modules


def _load_shared() -> None:
    """Load the library that all twins share, under the name by which each of them asks for it."""
    if in_use():
        return
    spec = spec_from_file_location(SHARED, folder() / f"{SHARED}{sysconfig.get_config_var('EXT_SUFFIX')}")
    if spec is None or spec.loader is None:
        raise ImportError(f"no library of compiled modules in {folder()}")
    library = module_from_spec(spec)
    spec.loader.exec_module(library)
    sys.modules[SHARED] = library
