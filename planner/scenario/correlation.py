"""Normal numbers that hang together: whether correlations can all be true at once, and a root of their matrix.

In: names, correlations of pairs. Out: a lower triangle L, so that L L' is the matrix. Must not know: what is drawn.

Names that hang together in no way, not even through others, are kept apart: another name changes no other's numbers.
Within those that do, the first in the order of the alphabet is as it is drawn, and each further one is made of those
before it and a number of its own (Cholesky). The root is plain arithmetic, the same to the bit on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil, sqrt
from typing import Final

import numpy as np

Pairs = dict[frozenset[str], float]
"""Correlation of each pair that has one."""

ROUNDED: Final = 0.01
"""Correlations that are rounded may miss a joint distribution by so much (least eigenvalue); all are then made smaller
by as much, in steps of a thousandth."""
_STEPS: Final = 1000.0
_LEAST: Final = 1e-12


def impossible(names: Sequence[str], pairs: Mapping[frozenset[str], float]) -> list[str]:
    """Names whose correlations are those of no joint distribution; none where all are."""
    return next((group for group in _groups(names, pairs) if _least(group, pairs) < -ROUNDED), [])


def root_of(names: Sequence[str], pairs: Mapping[frozenset[str], float]) -> tuple[tuple[float, ...], ...]:
    """Lower triangle, a row for each name in the order given, as long as its place in it."""
    place = {name: i for i, name in enumerate(names)}
    rows = [[0.0] * (i + 1) for i in range(len(names))]
    for group in _groups(names, pairs):
        short = ceil(_STEPS * max(0.0, -_least(group, pairs))) / _STEPS
        small: list[list[float]] = []
        for i, name in enumerate(group):
            row: list[float] = []
            for j, other in enumerate(group[: i + 1]):
                by = 1.0 if i == j else pairs.get(frozenset((name, other)), 0.0) / (1.0 + short)
                for k in range(j):
                    by -= row[k] * (small[j][k] if j < i else row[k])
                if i == j:
                    row.append(sqrt(max(by, 0.0)))
                else:
                    row.append(by / small[j][j] if small[j][j] > _LEAST else 0.0)
            small.append(row)
            for j, other in enumerate(group[: i + 1]):
                rows[place[name]][place[other]] = row[j]
    return tuple(map(tuple, rows))


def _groups(names: Sequence[str], pairs: Mapping[frozenset[str], float]) -> Iterator[list[str]]:
    """Names that hang together, through others too; in the order given."""
    left = list(names)
    while left:
        group = {left[0]}
        while grown := {one for pair in pairs if pair & group for one in pair} - group:
            group |= grown
        yield [name for name in left if name in group]
        left = [name for name in left if name not in group]


def _least(group: Sequence[str], pairs: Mapping[frozenset[str], float]) -> float:
    """The least eigenvalue of the correlations of a group."""
    matrix = [
        [1.0 if one == other else pairs.get(frozenset((one, other)), 0.0) for other in group] for one in group
    ]
    return round(float(np.linalg.eigvalsh(np.array(matrix))[0]), 9)
