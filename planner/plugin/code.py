"""The code that a run is made by, as it lies on this machine: versions of packages, digests of their files.

In: names of packages and modules. Out: versions and digests. Must not know: what is compared with them, or kept under
them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path

from planner.compiled import TWINS


def version_of(package: str) -> str:
    """Version of an installed package; empty where it is not installed."""
    try:
        return version(package)
    except PackageNotFoundError:
        return ""


def places_of(module: str) -> tuple[Path, ...]:
    """Where the files of a module lie: its folders, or its one file; none where it is not there."""
    spec = find_spec(module)
    if spec is None:
        return ()
    if spec.submodule_search_locations:
        return tuple(Path(place) for place in spec.submodule_search_locations)
    return (Path(spec.origin),) if spec.origin else ()


def digest_of(places: Iterable[Path]) -> str:
    """Digest of files, and of all files below folders, with their names; what was compiled of them is no part of it."""
    said = hashlib.sha256()
    for place in places:
        for file in sorted(place.rglob("*")) if place.is_dir() else [place]:
            if file.is_file() and "__pycache__" not in file.parts and TWINS not in file.parents:
                content = file.read_bytes()
                said.update(
                    f"{file.relative_to(place.parent).as_posix()} {len(content)}\n".encode() + content
                )
    return said.hexdigest()
