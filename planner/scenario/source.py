"""A file read safely, whatever it turns out to be.

In: the path of a YAML file. Out: its `Tree` of plain values and places, with what is wrong in its writing; an
`InputError` where it cannot be understood. Never reads without bound. Knows no fields and no units.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import TypeVar

from planner.scenario.compose import compose
from planner.scenario.errors import InputError, Problem
from planner.scenario.toll import SHOPS
from planner.scenario.tree import Place, Tree
from planner.scenario.unseen import UNSEEN, in_words, without
from planner.scenario.wording import nearest

MOST_BYTES = 1_000_000
SHOP_BYTES = 36
"""A shop takes about so much of a file, and most else that there can be many of."""
MOST_UNSEEN = 20
Placed = TypeVar("Placed", Place, Problem)


def read(path: Path, shown_as: str | None = None) -> Tree:
    """Read one file.

    Parameters
    ----------
    path : Path
        The file.
    shown_as : str, optional
        How messages name it; the path itself if left out.

    Raises
    ------
    InputError
        With every problem that can be found before the meaning of the keys is known, where the rest cannot be read.
    """
    name = shown_as or str(path)
    text = _text(path, name)
    found = list(islice(UNSEEN.finditer(text), MOST_UNSEEN))
    unseen = [Problem(name, *_line_and_column(text, one.start()), "", in_words(one[0])) for one in found]
    if len(found) == MOST_UNSEEN:
        raise InputError.of(unseen)
    try:
        tree = compose(without(text), name)
    except InputError as error:
        raise InputError.of([*unseen, *_moved(error.problems, unseen)]) from None
    if unseen:
        tree.keys = dict(zip(tree.keys, _moved(tree.keys.values(), unseen), strict=True))
        tree.values = dict(zip(tree.values, _moved(tree.values.values(), unseen), strict=True))
        tree.problems = [*unseen, *_moved(tree.problems, unseen)]
    return tree


def _moved(those: Iterable[Placed], unseen: Iterable[Problem]) -> Iterator[Placed]:
    """Places in a text without its invisible letters, moved to where they stand in the file."""
    for one in those:
        column = one.column
        for letter in unseen:
            column += letter.line == one.line and letter.column <= column
        yield replace(one, column=column)


def _refuse(name: str, message: str) -> InputError:
    return InputError.of([Problem(name, 0, 0, "", message)])


def _text(path: Path, name: str) -> str:
    try:
        # not blocking: a pipe would wait for a writer for ever
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except FileNotFoundError:
        raise _refuse(name, _not_there(path)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(name, f"cannot be opened ({reason}); name a scenario file that you may read") from None
    kind = os.fstat(handle).st_mode
    if not stat.S_ISREG(kind):
        os.close(handle)
        if stat.S_ISDIR(kind):
            raise _refuse(name, f"is a folder; name a scenario file{_files_in(path)}")
        raise _refuse(name, "is not an ordinary file; name a scenario file")
    with os.fdopen(handle, "rb") as file:
        content, size = file.read(MOST_BYTES + 1), os.fstat(file.fileno()).st_size
    if len(content) > MOST_BYTES:
        many = SHOPS.words(float(f"{max(size, MOST_BYTES) / SHOP_BYTES:.1g}"))
        raise _refuse(
            name,
            "is larger than 1 MB; a scenario is a short text, name another file. If it is one, it is too much to play: "
            f"{many}",
        )
    if not content.strip():
        raise _refuse(name, "is empty; begin with a line such as `title: My business`")
    if b"\0" in content[:8192] and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refuse(name, "is not a text file; name a scenario, such as scenarios/example.yaml")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = error.start - content.rfind(b"\n", 0, error.start)
        raise InputError.of(
            [
                Problem(
                    name,
                    line,
                    column,
                    "",
                    "a letter here cannot be read; save the file anew in your editor, and choose UTF-8 as its encoding",
                )
            ]
        ) from None


def _not_there(path: Path) -> str:
    try:
        names = [entry.name for entry in path.parent.iterdir() if entry.suffix in {".yaml", ".yml"}]
    except OSError:
        return f"there is no folder {path.parent}; {_other_folder(path)}"
    by_stem = {Path(name).stem: name for name in names}
    near = nearest(path.name, names) or by_stem.get(nearest(path.stem, by_stem) or "")
    if near:
        return f"there is no such file; did you mean {path.parent / near}?"
    return f"there is no such file; check the path{_files_in(path.parent)}"


def _other_folder(path: Path) -> str:
    """The folder most like one that is not there, if the file is in it."""
    above = path.parent.parent
    folders = [entry.name for entry in above.iterdir() if entry.is_dir()] if above.is_dir() else []
    near = nearest(path.parent.name, folders)
    meant = above / near / path.name if near else None
    return f"did you mean {meant}?" if meant is not None and meant.is_file() else "check the path"


def _files_in(folder: Path) -> str:
    names = sorted(entry.name for entry in folder.iterdir() if entry.suffix in {".yaml", ".yml"})
    return f", such as {folder / names[0]}" if names else ""


def _line_and_column(text: str, position: int) -> tuple[int, int]:
    return text.count("\n", 0, position) + 1, position - text.rfind("\n", 0, position)
