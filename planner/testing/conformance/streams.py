"""Where a model takes its chance from.

In: the `Draw` that is handed to a model. Out: the streams it asked for, and what it took from anywhere else.
Must not know: what the numbers are used for.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, Final
from unittest.mock import patch

from planner.world.draw import Draw

_GENERATORS: Final = (
    "numpy.random.default_rng",
    "numpy.random.RandomState",
    "numpy.random.PCG64",
    "numpy.random.MT19937",
    "random.Random",
    "random.SystemRandom",
)
"""Ways to a generator of one's own. Philox is what streams themselves are made with."""


@dataclass(slots=True)
class Taken:
    """What a model took while it was watched."""

    streams: list[str] = field(default_factory=list)
    """Names of the streams of the draw handed in, in the order asked for."""
    elsewhere: list[str] = field(default_factory=list)
    """Streams that were not handed in, and generators of its own."""


@contextmanager
def watched(handed: Draw, package: str, still: bool = False) -> Iterator[Taken]:
    """Note every stream that is asked for, and every generator that is made.

    Parameters
    ----------
    handed : Draw
        What the model is given.
    package : str
        Top package of the model's own modules; names that they imported are watched too.
    still : bool
        Streams then depend on their names only, not on seed and replicate: what still differs between two worlds
        has come from elsewhere.
    """
    taken = Taken()
    generator = Draw._generator

    def noted(draw: Draw, name: str) -> Any:
        known = (draw.seed, draw.replicate) == (handed.seed, handed.replicate)
        if known and draw.prefix.startswith(handed.prefix):
            taken.streams.append(draw.prefix[len(handed.prefix) :] + name)
        else:
            taken.elsewhere.append(
                f"the stream {draw.prefix}{name} of seed {draw.seed}, world {draw.replicate}"
            )
        return generator(Draw(0, 0, draw.prefix) if still else draw, name)

    with ExitStack() as stack:
        stack.enter_context(patch.object(Draw, "_generator", noted))
        for name in _GENERATORS:
            home, _, own = name.rpartition(".")
            original = getattr(import_module(home), own)
            double = _noting(name, original, taken.elsewhere)
            for module in (import_module(home), *_modules_of(package)):
                for key in [key for key, value in vars(module).items() if value is original]:
                    stack.enter_context(patch.object(module, key, double))
        yield taken


def _modules_of(package: str) -> list[Any]:
    return [one for name, one in sys.modules.items() if name.partition(".")[0] == package and one is not None]


def _noting(name: str, original: Any, notes: list[str]) -> Any:
    """The same, but its use is noted; a class stays a class."""
    if isinstance(original, type):

        def begin(self: Any, *values: Any, **named: Any) -> None:
            notes.append(f"a generator of its own, {name}")
            original.__init__(self, *values, **named)  # type: ignore[misc]

        return type(original.__name__, (original,), {"__init__": begin})
    made: Callable[..., Any] = original

    def make(*values: Any, **named: Any) -> Any:
        notes.append(f"a generator of its own, {name}")
        return made(*values, **named)

    return make
