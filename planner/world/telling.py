"""An error of somebody else's code, in one plain line.

In: the error, and where the files of the package lie that was asked. Out: what it was, and the last line of the
package itself that it came by: of what lies deeper, in numpy or in the planner, its author wrote nothing.
Must not know: who was asked what.
"""

from __future__ import annotations

from opcode import opmap
from pathlib import Path, PurePath
from typing import Final

from pydantic import ValidationError

from planner.interrupts import Overdue, frames_of

Homes = tuple[str, ...]
"""Folders and files in which the code of one package lies."""

PLANNER: Final = str(Path(__file__).resolve().parents[1])
"""Where the planner's own code lies: what it refuses on a package's behalf, it says in plain words."""

HANDED: Final = "what a model is handed, and what it has returned, may not be changed"
_REFUSED: Final = ("read-only", "cannot assign to field", "'mappingproxy' object", "can't set attr")
"""How numpy, dataclasses, mappings and named tuples say that something may not be changed."""
_FROZEN: Final = {"frozen_instance", "frozen_field"}
"""How pydantic says so."""
_RAISE: Final = opmap["RAISE_VARARGS"]


def told(error: BaseException, homes: Homes = ()) -> str:
    """One plain line about an error: what it was, and in which line of which file of the package."""
    place = _place(error, homes)
    return f"{_words(error, homes)}{f' ({place})' if place else ''}"


def is_plain(error: BaseException, homes: Homes = ()) -> bool:
    """Is it a ``ValueError`` that somebody raised to be read: the package's author, or the planner?

    Numpy and Python raise it too, and what they say is meant for whoever wrote the line that called them.
    """
    kind = type(error)
    meant = kind is ValueError or (issubclass(kind, ValueError) and kind.__module__.startswith("planner."))
    return meant and bool(str(error).strip()) and _raised_in(error, (*homes, PLANNER))


def own_path(filename: str, homes: Homes) -> str:
    """A file of the package from its topmost folder on; empty where it is somebody else's."""
    path = PurePath(filename)
    for home in homes:
        if path.is_relative_to(home):
            return path.relative_to(PurePath(home).parent).as_posix()
    return ""


def _words(error: BaseException, homes: Homes) -> str:
    said = " ".join(str(error).split())
    if isinstance(error, Overdue) or is_plain(error, homes):
        return said
    if isinstance(error, SystemExit):
        return f"it ended the program (sys.exit{'' if error.code is None else f'({error.code!r})'})"
    if isinstance(error, ValidationError):
        found = error.errors(include_url=False)
        if any(one["type"] in _FROZEN for one in found):
            return "settings may not be changed"
        said = "; ".join(": ".join((*map(str, one["loc"]), one["msg"])) for one in found)
    if isinstance(error, SyntaxError):
        said = error.msg
    hint = f"; {HANDED}" if any(mark in said for mark in _REFUSED) else ""
    return f"{type(error).__name__}: {said or 'no message'}{hint}"


def _place(error: BaseException, homes: Homes) -> str:
    """The last line of the package that an error came by; empty where it came by none."""
    if isinstance(error, SyntaxError) and (file := own_path(error.filename or "", homes)):
        return f"{file}:{error.lineno}"
    for frame in reversed(frames_of(error)):
        if file := own_path(frame.filename, homes):
            return f"{file}:{frame.lineno}"
    return ""


def _raised_in(error: BaseException, homes: Homes) -> bool:
    """Was it raised by a ``raise`` in one of these files, and not by a function that one of them called?"""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return False
    code = trace.tb_frame.f_code
    return bool(own_path(code.co_filename, homes)) and code.co_code[trace.tb_lasti] == _RAISE
