"""Chance, drawn whole before a run: named streams of uniforms and normals.

In: a root seed and the replicate's number. Out: arrays of numbers, the same for the same names, whatever else is
asked for. Must not know: options, settings, what the numbers are used for.

A stream is keyed by (root seed, replicate, name): it never depends on other streams, on the order in which they are
asked for, or on the option that is played. Asking for more numbers of a stream only adds to its end.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b
from random import getstate
from typing import Any

import numpy as np
from numpy.random.bit_generator import ISeedSequence
from numpy.typing import DTypeLike, NDArray

from planner.world.parts import FloatArray


@dataclass(frozen=True, slots=True)
class Draw:
    """The chance of one replicate.

    Parameters
    ----------
    seed : int
        Root seed of the study, 0 or more.
    replicate : int
        Number of the world, 0 or more.
    prefix : str
        Put before every stream's name; see :meth:`within`.
    """

    seed: int
    replicate: int
    prefix: str = ""

    def within(self, name: str) -> Draw:
        """The same chance, with ``name/`` before every stream's name."""
        return Draw(self.seed, self.replicate, f"{self.prefix}{name}/")

    def uniform(self, name: str, shape: int | tuple[int, ...]) -> FloatArray:
        """Uniform numbers in [0, 1) of the stream ``name``; a larger first axis only adds rows."""
        return self._generator(name).random(shape)

    def normal(self, name: str, shape: int | tuple[int, ...]) -> FloatArray:
        """Standard normal numbers of the stream ``name``; a larger first axis only adds rows."""
        return self._generator(name).standard_normal(shape)

    def _generator(self, name: str) -> np.random.Generator:
        key = f"{self.seed}\n{self.replicate}\n{self.prefix}{name}".encode()
        own = _Key(blake2b(key, digest_size=16).digest())
        return np.random.Generator(np.random.Philox(own))  # type: ignore[arg-type]  # numpy's stubs know less


class _Key(ISeedSequence):
    """Hands Philox its key of 128 bits as it is: given by ``key=``, numpy would first ask the system for chance."""

    def __init__(self, key: bytes) -> None:
        self._key = key

    def generate_state(self, n_words: int, dtype: DTypeLike = np.uint32) -> NDArray[np.unsignedinteger[Any]]:
        """The key, in words of this size."""
        return np.frombuffer(self._key, np.dtype(dtype).newbyteorder("<"))[:n_words].astype(dtype)


def global_chance() -> tuple[object, ...]:
    """Where Python's and numpy's global generators stand; it moves when somebody draws from them or seeds them."""
    of_numpy = np.random.get_state(legacy=False)["state"]  # noqa: NPY002  (looked at, not used)
    return getstate(), of_numpy["key"].tobytes(), of_numpy["pos"]
