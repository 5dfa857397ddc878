"""Distributions by their inverse: mean, shares, and values at given uniform numbers.

In: the kind and parameters of a `Spread`, in the unit of its field. Out: its values at uniforms (never
rejection, so that runs stay paired), its mean and its shares. Draws nothing and reads no text.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import special

from planner.scenario.units import written

Floats = NDArray[np.float64]

PARAMETERS: dict[str, tuple[str, ...]] = {
    "uniform": ("low", "high"),
    "triangular": ("low", "mode", "high"),
    "normal": ("mean", "sd"),
    "lognormal": ("mean", "sd"),
    "gamma": ("mean", "sd"),
    "beta": ("mean", "sd"),
    "exponential": ("mean",),
    "choice": ("values", "weights"),
}
_SMALLEST = 2.0**-53


@dataclass(frozen=True, slots=True)
class Spread:
    """A constant or a distribution, within hard bounds.

    Attributes
    ----------
    kind : str
        "constant" or a key of `PARAMETERS`.
    numbers : tuple of float
        The constant; or the parameters in the order of `PARAMETERS`; or the values of a choice.
    weights : tuple of float
        Of a choice, not necessarily summing to one; else empty.
    low, high : float or None
        Hard bounds: values beyond are set to them.
    whole : bool
        True where values are rounded to whole numbers.
    top : float
        Upper end of a beta distribution: 1, unless it was multiplied.
    """

    kind: str
    numbers: tuple[float, ...]
    weights: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    whole: bool = False
    top: float = 1.0

    @classmethod
    def constant(cls, value: float) -> Spread:
        """A value that does not vary."""
        return cls("constant", (float(value),))

    @property
    def mean(self) -> float:
        """Mean of the distribution as written, moved inside the bounds where it lies outside."""
        numbers = self.numbers
        match self.kind:
            case "uniform" | "triangular":
                mean = sum(numbers) / len(numbers)
            case "choice":
                total = sum(self.weights)
                mean = sum(v * w for v, w in zip(numbers, self.weights, strict=True)) / total
            case _:
                mean = numbers[0]
        return min(max(mean, -math.inf if self.low is None else self.low), self._high)

    @property
    def _high(self) -> float:
        return math.inf if self.high is None else self.high

    @property
    def is_constant(self) -> bool:
        """True where every value is the same."""
        if PARAMETERS.get(self.kind) == ("mean", "sd"):
            return self.numbers[1] == 0
        return self.kind == "constant" or (self.kind == "exponential" and self.numbers[0] == 0)

    def from_uniform(self, u: Floats) -> Floats:
        """Values at these uniforms in [0, 1], in the unit of the field; monotone in `u`."""
        u = np.clip(np.asarray(u, dtype=np.float64), _SMALLEST, 1 - _SMALLEST)
        values = np.full_like(u, self.numbers[0]) if self.is_constant else self._inverse(u)
        values = np.rint(values) if self.whole else values
        if self.low is None and self.high is None:
            return values
        return np.clip(values, self.low, self.high)

    def _inverse(self, u: Floats) -> Floats:
        a, b = self._shape
        match self.kind:
            case "uniform":
                return a + (b - a) * u
            case "triangular":
                return self._triangular(u)
            case "normal":
                return a + b * np.asarray(special.ndtri(u))
            case "lognormal":
                return np.exp(a + b * np.asarray(special.ndtri(u)))
            case "gamma":
                return b * np.asarray(special.gammaincinv(a, u))
            case "beta":
                return self.top * np.asarray(special.betaincinv(a, b, u))
            case "exponential":
                return -a * np.log1p(-u)
            case _:
                order, below = self._ordered_choice
                return order[np.minimum(np.searchsorted(below, u, side="left"), len(order) - 1)]

    @property
    def _shape(self) -> tuple[float, float]:
        """The two parameters of the textbook form."""
        numbers = self.numbers
        match self.kind:
            case "lognormal":
                sigma_squared = math.log1p((numbers[1] / numbers[0]) ** 2)
                return math.log(numbers[0]) - sigma_squared / 2, math.sqrt(sigma_squared)
            case "gamma":
                return (numbers[0] / numbers[1]) ** 2, numbers[1] ** 2 / numbers[0]
            case "beta":
                mean, sd = numbers[0] / self.top, numbers[1] / self.top
                size = mean * (1 - mean) / sd**2 - 1
                return mean * size, (1 - mean) * size
            case "uniform" | "normal":
                return numbers[0], numbers[1]
            case _:
                return numbers[0], 0.0

    def _triangular(self, u: Floats) -> Floats:
        low, mode, high = self.numbers
        width = high - low
        if width == 0:
            return np.full_like(u, low)
        rising = low + np.sqrt(u * width * (mode - low))
        falling = high - np.sqrt((1 - u) * width * (high - mode))
        return np.where(u < (mode - low) / width, rising, falling)

    @property
    def _ordered_choice(self) -> tuple[Floats, Floats]:
        values, weights = np.asarray(self.numbers), np.asarray(self.weights)
        order = np.argsort(values, kind="stable")
        return values[order], np.cumsum(weights[order]) / weights.sum()

    def share_below(self, x: float) -> float:
        """Share of the values at or below `x`, the bounds applied."""
        if x >= self._high:
            return 1.0
        if self.low is not None and x < self.low:
            return 0.0
        return self._unbounded_share_below(math.floor(x) + 0.5 if self.whole else x)

    def _unbounded_share_below(self, x: float) -> float:
        if self.is_constant:
            return float(x >= (round(self.numbers[0]) if self.whole else self.numbers[0]))
        a, b = self._shape
        match self.kind:
            case "uniform":
                return min(max((x - a) / (b - a), 0.0), 1.0) if b > a else float(x >= a)
            case "triangular":
                return self._triangular_share(x)
            case "normal":
                return float(special.ndtr((x - a) / b))
            case "lognormal":
                return float(special.ndtr((math.log(x) - a) / b)) if x > 0 else 0.0
            case "gamma":
                return float(special.gammainc(a, x / b)) if x > 0 else 0.0
            case "beta":
                return float(special.betainc(a, b, min(max(x / self.top, 0.0), 1.0)))
            case "exponential":
                return -math.expm1(-x / a) if x > 0 else 0.0
            case _:
                total = sum(self.weights)
                return sum(w for v, w in zip(self.numbers, self.weights, strict=True) if v <= x) / total

    def _triangular_share(self, x: float) -> float:
        low, mode, high = self.numbers
        if x >= high:
            return 1.0
        if x <= low:
            return 0.0
        if x < mode:
            return (x - low) ** 2 / ((high - low) * (mode - low))
        return 1 - (high - x) ** 2 / ((high - low) * (high - mode))

    @property
    def cut_share(self) -> float:
        """Share of the values that the bounds change."""
        if self.is_constant:
            return 0.0
        below = 0.0 if self.low is None else self._unbounded_share_below(math.nextafter(self.low, -math.inf))
        above = 0.0 if self.high is None else 1 - self._unbounded_share_below(self.high)
        return below + above

    def times(self, x: float) -> Spread:
        """The same spread with every value multiplied by `x`; the bounds stay."""
        if not (math.isfinite(x) and x >= 0):
            raise ValueError(f"a spread can be multiplied by a number from 0 up, not by {x}")
        return replace(self, numbers=tuple(value * x for value in self.numbers), top=self.top * x)

    def written(self, symbol: str, currency: str = "EUR") -> Any:
        """The spread as a file holds it, in this unit."""
        texts = [written(value, symbol, currency) for value in self.numbers]
        if symbol == "count":
            texts = [int(value) if value == int(value) else value for value in texts]
        if self.kind == "constant":
            return texts[0]
        if self.kind == "choice":
            return {"choice": {"values": texts, "weights": list(self.weights)}}
        return {self.kind: dict(zip(PARAMETERS[self.kind], texts, strict=True))}
