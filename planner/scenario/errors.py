"""What is wrong with a scenario, as a list of places and plain sentences.

In: places in files and messages. Out: one `InputError` with every `Problem` found. Knows no fields.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

LONGEST_PATH: Final = 200
"""Of a longer one the beginning is printed: its names are no names."""
MOST_TOLD: Final = 100
"""Nobody reads more at once; of the rest it is said how many they are."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing that is wrong: where, and what to do about it.

    Attributes
    ----------
    file : str
        The file as the user named it; empty where no file is meant.
    line, column : int
        Counted from 1; 0 where the file as a whole is meant.
    path : str
        Keys from the top, joined by dots; may be empty.
    message : str
        What is wrong, what is allowed, what to do.
    """

    file: str
    line: int
    column: int
    path: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        path = "".join(letter if letter.isprintable() else "?" for letter in self.path)
        path = path if len(path) <= LONGEST_PATH else f"{path[: LONGEST_PATH - 3]}..."
        return ": ".join(part for part in (place, path, self.message) if part)


class InputError(Exception):
    """The user's input is wrong; printed as one line for each problem."""

    def __init__(self, message: str, problems: Iterable[Problem] = ()) -> None:
        super().__init__(message)
        self.problems = tuple(problems)

    @classmethod
    def of(cls, problems: Iterable[Problem]) -> InputError:
        """All problems in the order of their places; the words hold the first of very many.

        What is written once and read in several places, as YAML's ``*name`` is, is one mistake and told once.
        """
        first = {(one.file, one.line, one.column, one.message): one for one in sorted(problems, reverse=True)}
        ordered = sorted(first.values())
        lines = list(map(str, ordered[:MOST_TOLD]))
        if len(ordered) > MOST_TOLD:
            more = len(ordered) - MOST_TOLD
            lines.append(f"and {more:,} more {'mistake' if more == 1 else 'mistakes'}; mend these first")
        return cls("\n".join(lines), ordered)

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (str(self), self.problems)
