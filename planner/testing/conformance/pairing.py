"""Do numbers stay paired when a setting changes a little?

In: the same worlds drawn with and without the change. Out: for each column how alike its values are ranked.
Must not know: what was changed.

A model that turns each uniform into its value by the inverse of a distribution keeps the order of its values when the
distribution changes a little. One that rejects and draws again, or takes a number more or less on the way, loses step.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from planner.testing.conformance.leaves import columns
from planner.world.parts import FloatArray

FEWEST: Final = 12
"""Of fewer values a rank correlation says nothing (assumed)."""
_BY_PART: Final = "shares"
"""A column of this name has kinds side by side, each ranked by itself."""
_DIGITS: Final = 9

Array = np.ndarray[Any, Any]


def alike(before: Sequence[Any], after: Sequence[Any]) -> dict[str, float]:
    """Rank correlation of each column in which there is chance.

    Parameters
    ----------
    before, after : sequence of parts
        Worlds 0, 1, 2, ... without the change, and the same worlds with it.

    Returns
    -------
    dict
        By column; only what both have, with `FEWEST` values or more, and not all of them the same. Rows beyond the
        shorter of the two are left out. Of times in order, the gaps are compared.
    """
    old, new = [columns(part) for part in before], [columns(part) for part in after]
    found: dict[str, float] = {}
    for name in old[0]:
        if not all(name in world for world in (*old, *new)):
            continue
        pairs = [_common(one[name], other[name]) for one, other in zip(old, new, strict=True)]
        if not _has_chance([one for one, _ in pairs]):
            continue
        for part, (one, other) in enumerate(_flat(name, pairs)):
            if one.size >= FEWEST and np.ptp(one) > 0.0 and np.ptp(other) > 0.0:
                label = f"{name}, part {part}" if name.endswith(_BY_PART) else name
                found[label] = rank_correlation(one, other)
    return found


def _common(one: Array, other: Array) -> tuple[FloatArray, FloatArray]:
    """What both arrays have room for; gaps instead of times in order."""
    rows = tuple(slice(0, min(sizes)) for sizes in zip(one.shape, other.shape, strict=True))
    both = one[rows].astype(float), other[rows].astype(float)
    if all(array.ndim == 1 and array.size > 1 and (np.diff(array) >= 0.0).all() for array in both):
        return np.diff(both[0]), np.diff(both[1])
    return both


def _has_chance(worlds: Sequence[FloatArray]) -> bool:
    first = worlds[0]
    return any(world.shape != first.shape or (world != first).any() for world in worlds[1:])


def _flat(name: str, pairs: Sequence[tuple[FloatArray, FloatArray]]) -> list[tuple[FloatArray, FloatArray]]:
    """All worlds' values in one row; one row for each kind where kinds stand side by side."""
    parts = pairs[0][0].shape[-1] if name.endswith(_BY_PART) and pairs[0][0].ndim > 1 else 0
    if not parts:
        return [(_joined([one for one, _ in pairs]), _joined([other for _, other in pairs]))]
    return [
        (_joined([one[:, k] for one, _ in pairs]), _joined([other[:, k] for _, other in pairs]))
        for k in range(parts)
    ]


def _joined(worlds: Sequence[FloatArray]) -> FloatArray:
    """Values of all worlds, rounded so that noise in the last digits is not ranked."""
    values = np.concatenate([world.ravel() for world in worlds])
    largest = np.abs(values).max(initial=0.0)
    return values if largest == 0.0 else np.round(values / largest, _DIGITS)


def rank_correlation(one: FloatArray, other: FloatArray) -> float:
    """Spearman's rank correlation; ties share the mean of their ranks."""
    return float(np.corrcoef(_ranks(one), _ranks(other))[0, 1])


def _ranks(values: FloatArray) -> FloatArray:
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    ranks: FloatArray = (last - (count - 1) / 2.0)[place]
    return ranks
