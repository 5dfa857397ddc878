"""A part of the world taken apart into its columns and numbers, so that two of them can be compared to the bit.

In: `Weather`, `Rates`, `Supply`, `Crowd`, a horizon, a view. Out: (name, array or value) pairs; names of what differs.
Must not know: which model made it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from planner.world.parts import Horizon

Print = dict[str, object]
"""What each leaf holds, to the bit, by its name."""


def leaves(part: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Every array and every single value of a part, such as ``("shops[Mill Road].mass_kg", array)``."""
    if isinstance(part, Horizon):
        for key, value in vars(part).items():
            yield from leaves(value, f"{name}.{key}" if name else key)
    elif is_dataclass(part):
        for field in fields(part):
            yield from leaves(getattr(part, field.name), f"{name}.{field.name}" if name else field.name)
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from leaves(value, f"{name}[{key}]")
    elif isinstance(part, tuple) and part and is_dataclass(part[0]):
        for number, one in enumerate(part):
            yield from leaves(one, f"{name}[{getattr(one, 'name', number)}]")
    else:
        yield name, part


def columns(part: Any) -> dict[str, np.ndarray[Any, Any]]:
    """The arrays of a part by name."""
    return {name: leaf for name, leaf in leaves(part) if isinstance(leaf, np.ndarray)}


def print_of(part: Any) -> Print:
    """What a part holds, to the bit; it does not change when the part does."""
    return {name: _held(leaf) for name, leaf in leaves(part)}


def _held(leaf: Any) -> object:
    return (str(leaf.dtype), leaf.shape, leaf.tobytes()) if isinstance(leaf, np.ndarray) else repr(leaf)


def differing(one: Print, other: Print) -> list[str]:
    """Names of what is not the same, to the bit."""
    return [name for name in {**one, **other} if one.get(name) != other.get(name)]
