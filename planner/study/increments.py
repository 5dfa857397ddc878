"""A little more of each thing that may hold a business back, as values of its scenario that are others.

In: one business, and every value of it as a file would hold it. Out: ``Increment`` values, and what cannot be given
more of, with the reason. Must not know: runs, what any of it is worth, what it costs.

What a scenario does not have is left out and told. Models of other packages are reached by the keys of their settings:
one that has no such key is left out and told as well.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from planner.scenario import Input
from planner.scenario.business import Business

MORE: Final = 1.1
"""How much more of something is tried where it comes in no pieces."""

Size = Callable[[Business], float]


@dataclass(frozen=True, slots=True)
class Increment:
    """A little more of one thing.

    Parameters
    ----------
    key : str
        Short name; each is there once.
    limit : str
        Name of the limit that it widens, as free hours are lost to it; empty where none are counted.
    name : str
        What to call it in a table: a few words.
    words : str
        What there is more of, in a sentence: one more mould.
    unit : str
        What it is told for each of.
    inputs : tuple of Input
        What is different in the scenario.
    size : callable, optional
        How much of it a business has, in that unit; left out: it is there or it is not.
    covers : tuple of str
        Paths that belong to it as well: an option that changes these and nothing else gives the same.
    """

    key: str
    limit: str
    name: str
    words: str
    unit: str
    inputs: tuple[Input, ...]
    size: Size | None = None
    covers: tuple[str, ...] = ()

    @property
    def paths(self) -> frozenset[str]:
        """Everything that an option may change and still be about this alone."""
        return frozenset((*(one.path for one in self.inputs), *self.covers))

    def amount(self, now: Business, then: Business) -> float:
        """How many units more one business has than another."""
        return 1.0 if self.size is None else self.size(then) - self.size(now)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something that cannot be given more of."""

    what: str
    why: str


Found = Iterator[Increment | LeftOut]


def increments(business: Business, written: Mapping[str, Any], currency: str) -> Found:
    """Everything of which a business may have a little more.

    Parameters
    ----------
    business : Business
        As it is.
    written : mapping
        Its values as a file would hold them.
    currency : str
        Code of the currency.
    """
    from planner.study.increments_gear import melting
    from planner.study.increments_trade import buyers, cash, fetching, hours, shops

    yield from hours(business, written)
    yield from melting(business)
    yield from fetching(business)
    yield from shops(written)
    yield from cash(currency)
    yield from buyers(written)
