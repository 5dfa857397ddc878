"""The words of the library that reads commands, put as a person would who has never programmed.

In: what typer complains of, and names of files. Out: the same in plain words; places. Must not know: any command.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException

_PLAINLY: Final = (
    (r"Input should be a valid integer.*", "write a whole number, such as 20"),
    (r"Unable to parse input string as an integer.*", "write a whole number, such as 20"),
    (r"Input should be a valid number.*", "write a number, such as 2.5"),
    (r"Input should be greater than or equal to (.+)", r"it must be \1 or more"),
    (r"Input should be less than or equal to (.+)", r"it must be \1 or less"),
    (r"Input should be greater than (.+)", r"it must be more than \1"),
    (r"Value error, (.+)", r"\1"),
    (r"Got unexpected extra arguments?(?:\(s\))? \((.+)\)", r"more is given than this command takes: \1"),
    (r"Option (.+) requires an argument\.", r"a value is missing behind \1"),
)  # fmt: skip
_LONGEST: Final = 200


class Commands(TyperGroup):
    """Commands whose complaints hold no words of a programming language."""

    def invoke(self, ctx: Any) -> Any:
        """Run a command; what is wrong with its words is told plainly."""
        try:
            return super().invoke(ctx)
        except TyperException as error:
            if isinstance(getattr(error, "message", None), str):
                error.message = plainly(error.message)
            raise


def plainly(message: str) -> str:
    """A complaint in plain words, and no longer than anybody reads."""
    for pattern, words in _PLAINLY:
        if found := re.fullmatch(pattern, message, re.S):
            message = found.expand(words)
            break
    return message if len(message) <= _LONGEST else f"{message[: _LONGEST - 3]}..."


def place(text: str) -> Path:
    """A file or folder that is named on the command line; ``~`` is the user's own folder.

    Raises
    ------
    typer.BadParameter
        There is no name.
    """
    if not text.strip():
        raise typer.BadParameter("the name is empty; write one, or leave the option out")
    return Path(text).expanduser() if text.startswith("~") else Path(text)
