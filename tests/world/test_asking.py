"""What a package returned is copied as it was, out of the package's reach."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pytest

from planner.world.asking import own_copy
from planner.world.parts import FloatArray


class Window(NamedTuple):
    """Hours, as a package may name them."""

    from_h: float
    to_h: float


class Deal(NamedTuple):
    """Something with a column in it."""

    windows: tuple[Window, ...]
    price: FloatArray


@dataclass(frozen=True)
class Part:
    """A part of a world that holds both."""

    deals: dict[str, Deal]
    days: list[int]


@pytest.fixture
def part() -> Part:
    return Part({"depot": Deal((Window(8.0, 12.0),), np.array([6.0, 7.0]))}, [1, 2])


def test_a_part_keeps_the_names_of_what_is_in_it(part: Part) -> None:
    copied = own_copy(part)
    deal = copied.deals["depot"]
    assert (type(copied), type(deal), type(deal.windows[0])) == (Part, Deal, Window)
    assert deal.windows[0].to_h == 12.0
    assert deal.price.tolist() == [6.0, 7.0]
    assert copied.days == (1, 2)


def test_what_the_package_does_to_its_part_later_is_not_seen(part: Part) -> None:
    copied = own_copy(part)
    part.deals["depot"].price[0] = 99.0
    part.days.append(3)
    part.deals.clear()
    assert copied.deals["depot"].price.tolist() == [6.0, 7.0]
    assert copied.days == (1, 2)
    with pytest.raises(ValueError, match="read-only"):
        copied.deals["depot"].price[0] = 99.0
