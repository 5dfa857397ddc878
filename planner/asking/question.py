"""One question as plain data, and what it may know of the answers before it.

In: nothing. Out: types. Must not know: which questions there are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Literal, Protocol

from planner.asking.scale import Scale
from planner.asking.told import Told

PRACTICE: Final = "common practice"
ASSUMED: Final = "assumed"
Figure = Literal["lift", "payload", "hours", "stove", "money"]
"""What is reckoned on the spot once an answer that bears on it was given."""


class Before(Protocol):
    """The answers before a question, what is usual where none was given."""

    @property
    def scale(self) -> Scale:
        """Currency and units."""

    @property
    def told(self) -> Told:
        """Every answer so far, what is usual in the place of those that were not given."""


Usual = Callable[[Before], Any]
"""What stands for an answer that is not given, written as an answer is; None: it is left to the model."""


def always(before: Before) -> bool:
    """Asked of everybody."""
    del before
    return True


@dataclass(frozen=True, slots=True)
class Question:
    """A question.

    Parameters
    ----------
    key : str
        Of `Told`, and of a file of answers.
    words : str
        The question.
    changes : str
        What the answer changes, in one line.
    path : str
        Where in the scenario the answer is found again.
    usual : callable
        What is taken if nothing is answered.
    source : str
        Where that is from.
    heading : str
        Of the questions that belong together; empty: as the one before.
    more : str
        What else is good to know.
    first : bool
        Asked of everybody; the others on request.
    when : callable
        Does it make sense after these answers?
    tells : tuple of Figure
        What is reckoned on the spot after it.
    unknown : str
        What an answer that is left out means where nothing is usual.
    """

    key: str
    words: str
    changes: str
    path: str
    usual: Usual
    source: str = ASSUMED
    heading: str = ""
    more: str = ""
    first: bool = False
    when: Callable[[Before], bool] = always
    tells: tuple[Figure, ...] = ()
    unknown: str = ""


def orders(people: int | None, gap_days: float) -> str:
    """Orders a month of so many people who need metal again after so long."""
    return f"{max((people or 0) * 365.0 / 12.0 / gap_days, 0.1):.1f} per month"
