"""Data files that a scenario names, inside its own folder or shipped by an installed package.

In: `data/year.csv` or `package:data/year.csv`, and the scenario's folder from the validation context.
Out: an absolute path to a file that exists. Reads no file, but for the digest of its content.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from planner.scenario.units import read_and_written
from planner.scenario.wording import nearest, quoted, shown

LATER: Final = "files later"
"""In the context of a validation: whether a file is there is not asked."""
_PACKAGE = re.compile(r"[A-Za-z_]\w*")
_EXAMPLE = "write the name of a file in the scenario's folder, or in one below it, such as {}"
_YEAR = "data/year.csv"
_DATA = _EXAMPLE.format(_YEAR)


class _DataFile:
    """Marks a `Path` as a data file of the scenario."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        def read(value: Any, info: core_schema.ValidationInfo) -> Path:
            later = isinstance(info.context, Mapping) and info.context.get(LATER)
            if later and isinstance(value, str) and value.strip():
                return Path(value)
            return find(value, _folder(info.context))

        def write(path: Path, info: core_schema.SerializationInfo) -> str:
            context = info.context if isinstance(info.context, Mapping) else {}
            return content_digest(path) if context.get("digest") else name_of(path, _folder(context))

        return read_and_written(read, write)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        what = "a file below the scenario's folder, or package:file for one that an installed package ships"
        return {"type": "string", "description": what}


DataFile = Annotated[Path, _DataFile()]
"""A data file: relative to the scenario's folder, or `package:file`; an absolute path once read."""


def _folder(context: Any) -> Path:
    folder = context.get("folder") if isinstance(context, Mapping) else None
    return folder if isinstance(folder, Path) else Path.cwd()


def find(value: Any, folder: Path) -> Path:
    """Find a data file by its name in a scenario.

    Parameters
    ----------
    value : Any
        What the scenario holds.
    folder : Path
        The scenario's folder, which the file must not leave.

    Raises
    ------
    ValueError
        In plain words.
    """
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{quoted(value)} was found where a file's name is needed; {_DATA}")
    package, colon, inside = value.strip().partition(":")
    if colon and inside.startswith("//"):
        raise ValueError(f"{quoted(value)} is an address; nothing is fetched from the net; {_DATA}")
    if colon and len(package) > 1:
        return inside_of(_package_folder(package), inside, f"the package {shown(package)}")
    return inside_of(folder, value.strip(), "the scenario's folder")


def inside_of(folder: Path, name: str, called: str, such_as: str = _YEAR) -> Path:
    """The file of this name below a folder; refused where it leaves it, by `..`, by a root or by a link."""
    example = _EXAMPLE.format(such_as)
    pure = PurePosixPath(name.replace("\\", "/"))
    if pure.is_absolute() or ".." in pure.parts or re.match(r"[A-Za-z]:", name) or "\0" in name:
        raise ValueError(f"{quoted(name)} leads out of {called}; {example}")
    try:
        path = (folder / pure).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise ValueError(f"{quoted(name)} is a link that leads out of {called}; copy the file into it")
        if path.is_file():
            return path
        if path.exists():
            raise ValueError(f"{quoted(name)} is not an ordinary file; {example}")
        above = (folder / pure).parent
        names = [entry.name for entry in above.iterdir()] if above.is_dir() else []
    except (
        OSError,
        RuntimeError,
    ):  # too long a name; links that lead to each other; a folder that may not be read
        raise ValueError(f"{quoted(name)} cannot be found in {called}; check the name; {example}") from None
    near = nearest(pure.name, names)
    guess = f"; did you mean {pure.with_name(near)}?" if near else "; check the name"
    raise ValueError(f"there is no file {quoted(name)} in {called}{guess}")


def _package_folder(package: str) -> Path:
    spec = find_spec(package) if _PACKAGE.fullmatch(package) else None
    folders = list(spec.submodule_search_locations or []) if spec and spec.origin else []
    if not folders:
        raise ValueError(f"there is no installed package {quoted(package)} with files; {_DATA}")
    return Path(folders[0])


def name_of(path: Path, folder: Path) -> str:
    """The name by which a scenario in this folder finds the file again."""
    if path.is_relative_to(folder.resolve()):
        return path.relative_to(folder.resolve()).as_posix()
    for above in path.parents:
        if (above / "__init__.py").exists() and not (above.parent / "__init__.py").exists():
            return f"{above.name}:{path.relative_to(above).as_posix()}"
    return path.as_posix()


def content_digest(path: Path) -> str:
    """Digest of a file's content, so that a changed file never passes for the old one."""
    with path.open("rb") as file:
        return f"sha256:{hashlib.file_digest(file, 'sha256').hexdigest()}"
