"""Errors in parts of one value: which keys inside it, and what is wrong there."""

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


def parts_of(error: ValueError, *above: str | int) -> list[PartError]:
    """What is wrong inside a value, as seen from further above: all that it found, under these keys."""
    parts = error.found if isinstance(error, PartsError) else (error,)
    return [
        PartError(
            str(part),
            (*above, *part.at) if isinstance(part, PartError) else above,
            (*above, *part.against) if isinstance(part, PartError) and part.against else (),
        )
        for part in parts
    ]


def together(found: Sequence[PartError]) -> PartError | PartsError:
    """One error for all that was found wrong."""
    return found[0] if len(found) == 1 else PartsError(found)


def raise_all(found: Sequence[PartError]) -> None:
    """Raise what was found wrong, if anything was."""
    if found:
        raise together(found)
