"""An error in part of one value: which keys inside it, and what is wrong there."""

from __future__ import annotations

from collections.abc import Sequence


class PartError(ValueError):
    """Raised by a field's own reader where it can point inside the value.

    Parameters
    ----------
    message : str
        What is wrong and what to write.
    at : sequence of str or int
        Keys below the field that lead to the part that is wrong.
    against : sequence of str or int
        Keys that lead to another part with which it is at odds.
    """

    def __init__(self, message: str, at: Sequence[str | int] = (), against: Sequence[str | int] = ()) -> None:
        super().__init__(message)
        self.at = tuple(at)
        self.against = tuple(against)


class PartsError(ValueError):
    """Several parts of one value wrong at once."""

    def __init__(self, found: Sequence[PartError]) -> None:
        super().__init__("; ".join(str(one) for one in found))
        self.found = tuple(found)
