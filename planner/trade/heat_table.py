"""What each weather does to a pot: net power over pot temperature, tabulated once and kept.

In: a `Stove`, air [degC], wind at 10 m [m/s], how full the cylinder is [share]. Out: an `HourRow` with curves of
net power [W] that answer, each in one formula, how long warming or cooling takes. It must not know what is in the
pot, nor which hour of the year it is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from math import expm1, inf, log1p
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.trade.stove import Stove, fire_w, net_powers_w, useful_power_w

GRID_LOW_C: Final = -60.0
GRID_STEP_K: Final = 20.0
LAST: Final = 31
GRID_C: Final = GRID_LOW_C + GRID_STEP_K * np.arange(LAST + 1)
"""Nodes of every row [degC]: -60 to 560. Straight lines between them miss net power by less than 1 W or .2 %, whichever
is more; beyond them the first and the last line go on."""
NODES_C: Final[tuple[float, ...]] = tuple(GRID_C.tolist())

LEAST_W: Final = 1e-6
LEAST_W_PER_K: Final = 1e-9
"""Net power and slope closer to zero than this [W, W/K] are set to it, below zero, so that nothing divides by
zero; no melt lasts long enough to notice."""


class Curve:
    """Net power over pot temperature, with the time that warming or cooling along it takes.

    Parameters
    ----------
    power_w : tuple of float
        Net power at the nodes [W].
    slope_w_per_k : tuple of float
        Its slope from each node to the next [W/K], never zero.
    spent_k_per_w : tuple of float
        Integral of dT/|net power| up to each node [K/W]; times a heat capacity it is a time. The cell in which
        net power changes sign counts nothing, so only differences on one side of it have a meaning.
    positive : int
        How many nodes, from the coldest on, gain heat.
    """

    __slots__ = ("positive", "power_w", "slope_w_per_k", "spent_k_per_w")

    def __init__(
        self,
        power_w: tuple[float, ...],
        slope_w_per_k: tuple[float, ...],
        spent_k_per_w: tuple[float, ...],
        positive: int,
    ) -> None:
        self.power_w = power_w
        self.slope_w_per_k = slope_w_per_k
        self.spent_k_per_w = spent_k_per_w
        self.positive = positive

    def at(self, temperature_c: float) -> float:
        """Net power [W] at a pot temperature [degC]."""
        i = int((temperature_c - GRID_LOW_C) / GRID_STEP_K)
        if not 0 <= i < LAST:
            i = 0 if i < 0 else LAST - 1
        return self.power_w[i] + self.slope_w_per_k[i] * (temperature_c - NODES_C[i])

    def spent(self, temperature_c: float, warming: bool) -> float:
        """Integral of dT/|net power| up to a temperature [K/W]; infinite from where net power is zero."""
        i = int((temperature_c - GRID_LOW_C) / GRID_STEP_K)
        if not 0 <= i < LAST:
            i = 0 if i < 0 else LAST - 1
        j = i if warming else i + 1
        power_w, slope = self.power_w[j], self.slope_w_per_k[i]
        ratio = slope * (temperature_c - NODES_C[j]) / power_w
        if ratio <= -1.0 or (power_w > 0.0) is not warming:
            return inf if warming else -inf
        part = log1p(ratio) / slope
        return self.spent_k_per_w[j] + (part if warming else -part)

    def reached(self, spent_k_per_w: float, warming: bool) -> float:
        """Temperature [degC] at which `spent` has a value; the inverse of it."""
        if warming:
            j = bisect_right(self.spent_k_per_w, spent_k_per_w, 0, self.positive) - 1
            j = j if j > 0 else 0
            i = j if j < LAST else LAST - 1
        else:
            j = min(bisect_left(self.spent_k_per_w, spent_k_per_w, self.positive, LAST + 1), LAST)
            i = max(j - 1, 0)
        slope = self.slope_w_per_k[i]
        exponent = slope * (spent_k_per_w - self.spent_k_per_w[j])
        return NODES_C[j] + self.power_w[j] * expm1(exponent if warming else -exponent) / slope

    def along(
        self, start_c: float, stop_c: float, budget_k_per_w: float, warming: bool
    ) -> tuple[float, float]:
        """Warm or cool from one temperature towards another until there or until time is up.

        Parameters
        ----------
        start_c, stop_c : float
            From and to [degC]; to may be infinite.
        budget_k_per_w : float
            Time to spend over heat capacity [K/W]; may be infinite.
        warming : bool
            Whether net power at the start is above zero.

        Returns
        -------
        float, float
            Time spent over heat capacity [K/W], infinite if it would take forever, and temperature then [degC].
        """
        begun = self.spent(start_c, warming)
        if -inf < stop_c < inf:
            need = self.spent(stop_c, warming) - begun
            need = need if warming else -need
            if need <= budget_k_per_w:
                return (need, stop_c) if need < inf else (inf, start_c)
        if budget_k_per_w == inf:
            return inf, start_c
        if warming:
            return budget_k_per_w, min(self.reached(begun + budget_k_per_w, True), stop_c)
        return budget_k_per_w, max(self.reached(begun - budget_k_per_w, False), stop_c)


class Way:
    """The fixed points of one weather on the way from cold to a target above the melting point [degC].

    Net powers at the melting point [W], and integrals of dT/|net power| up to it and to the target [K/W] as
    :meth:`Curve.spent` gives them; ``loose`` under loose weights, ``pooled`` once a pool has formed.
    """

    __slots__ = (
        "held_share",
        "loose_k_per_w",
        "loose_w",
        "melting_c",
        "pooled_k_per_w",
        "pooled_w",
        "target_c",
        "target_k_per_w",
    )

    def __init__(
        self, loose: Curve, pooled: Curve, melting_c: float, target_c: float, held_share: float
    ) -> None:
        self.melting_c: Final = melting_c
        self.target_c: Final = target_c
        self.loose_w: Final = loose.at(melting_c)
        self.loose_k_per_w: Final = loose.spent(melting_c, True)
        self.pooled_w: Final = pooled.at(melting_c)
        self.pooled_k_per_w: Final = pooled.spent(melting_c, True)
        self.target_k_per_w: Final = pooled.spent(target_c, True)
        self.held_share: Final = held_share
        """Part of the fire that keeps a pot at the target."""


class HourRow:
    """What an hour of weather does to a pot.

    Parameters
    ----------
    curves : tuple of Curve
        `loose`, `pooled`, `off`: net power while burning under loose weights, burning with a pool or heel, burner off.
    fire_w : float
        Fire that burns [W, net heating value]; fuel follows from it.
    useful_w : float
        Heat into a pot with a pool at 0 degC [W]; falls in a straight line to nothing at `gas_c`.
    gas_c : float
        Temperature of the burnt gas [degC].
    pool_share : float
        Part of the latent heat after which a pool has formed [share].
    """

    __slots__ = ("_way", "fire_w", "gas_c", "loose", "off", "pool_share", "pooled", "useful_w")

    def __init__(
        self,
        curves: tuple[Curve, Curve, Curve],
        fire_w: float,
        useful_w: float,
        gas_c: float,
        pool_share: float,
    ) -> None:
        self.loose, self.pooled, self.off = curves
        self.fire_w = fire_w
        self.useful_w = useful_w
        self.gas_c = gas_c
        self.pool_share = pool_share
        self._way: Way | None = None

    def way(self, melting_c: float, target_c: float) -> Way:
        """The fixed points on the way to a target at or above the melting point [degC]; the last one is kept."""
        way = self._way
        if way is None or way.melting_c != melting_c or way.target_c != target_c:
            way = self._way = Way(self.loose, self.pooled, melting_c, target_c, self.hold_share(target_c))
        return way

    def hold_share(self, temperature_c: float) -> float:
        """Part of the fire [share] that keeps a pot with a pool at a temperature [degC]; 1 where all of it cannot."""
        way = self._way
        if way is not None and way.target_c == temperature_c:
            return way.held_share
        useful_w = self.useful_w * (1.0 - temperature_c / self.gas_c)
        if useful_w <= 0.0:
            return 1.0
        share = 1.0 - self.pooled.at(temperature_c) / useful_w
        return 0.0 if share < 0.0 else share if share < 1.0 else 1.0


class HeatTable:
    """Rows of a stove, made when first asked for and kept for a whole study.

    Parameters
    ----------
    stove : Stove
        Pot, burner, place.
    lid : bool
        Whether the lid is on; taken to be on all the time, also while hands are at work in the pot (assumed).

    Notes
    -----
    A row stands for an air temperature to half a degree and a wind to .1 m/s, the steps in which worlds give them,
    so nothing is lost there. How full the cylinder is counts in quarters, rounded down; a cylinder that is not
    empty but less than a quarter full counts as one eighth. As long as the cylinder feeds all that the burner takes,
    how full it is changes nothing, and the row is shared.
    """

    def __init__(self, stove: Stove, lid: bool = False) -> None:
        self.stove = stove
        self.lid = lid
        self._rows: dict[tuple[int, int, int], HourRow] = {}
        self._by_fire: dict[tuple[float, float, float], HourRow] = {}

    def hour(self, air_c: float, wind_m_s: float, fill_share: float) -> HourRow:
        """Row for air [degC], wind at 10 m [m/s] and a cylinder filled to a share."""
        quarter = _quarter(fill_share)
        key = (round(2.0 * air_c), round(10.0 * wind_m_s), quarter)
        row = self._rows.get(key)
        if row is None:
            row = self._rows[key] = self._row(key[0] / 2.0, key[1] / 10.0, quarter)
        return row

    def __len__(self) -> int:
        return len(self._by_fire)

    def _row(self, air_c: float, wind_m_s: float, quarter: int) -> HourRow:
        fill_share = 0.0 if quarter < 0 else max(quarter / 4.0, 0.125)
        stove = self.stove
        fire = fire_w(stove, air_c, fill_share)
        row = self._by_fire.get((air_c, wind_m_s, fire))
        if row is None:
            powers = np.stack(net_powers_w(stove, GRID_C, air_c, wind_m_s, fill_share, self.lid))
            row = self._by_fire[air_c, wind_m_s, fire] = HourRow(
                _curves(powers),
                fire,
                useful_power_w(stove, 0.0, air_c, wind_m_s, fill_share, True),
                stove.gas_c,
                stove.pool_share,
            )
        return row


def _quarter(fill_share: float) -> int:
    if fill_share >= 1.0:
        return 4
    return int(4.0 * fill_share) if fill_share > 0.0 else -1


def same_down_to(fill_share: float) -> float:
    """How far a cylinder may empty [share] before the row of the same weather is another one."""
    quarter = _quarter(fill_share)
    return quarter / 4.0 if quarter > 0 else 0.0


def _curves(powers: NDArray[np.float64]) -> tuple[Curve, Curve, Curve]:
    """Curves from net powers at the nodes [W], one row each."""
    powers[np.abs(powers) < LEAST_W] = -LEAST_W
    slopes = np.diff(powers) / GRID_STEP_K
    slopes[np.abs(slopes) < LEAST_W_PER_K] = -LEAST_W_PER_K
    gains = powers > 0.0
    change = np.where(gains[:, :-1] == gains[:, 1:], slopes * GRID_STEP_K / powers[:, :-1], 0.0)
    spent = np.zeros_like(powers)
    np.cumsum(np.abs(np.log1p(change) / slopes), axis=1, out=spent[:, 1:])
    positive = np.where(gains.all(axis=1), LAST + 1, gains.argmin(axis=1)).tolist()
    power, slope, time = powers.tolist(), slopes.tolist(), spent.tolist()
    loose, pooled, off = (
        Curve(tuple(power[k]), tuple(slope[k]), tuple(time[k]), positive[k]) for k in range(len(positive))
    )
    return loose, pooled, off
