"""What each weather does to a pot: net power over pot temperature, tabulated once and kept.

In: a `Stove`, air [degC], wind at 10 m [m/s], how full the cylinder is [share]. Out: an `HourRow` with curves of
net power [W] that answer, each in one formula, how long warming or cooling takes. It must not know what is in the
pot, nor which hour of the year it is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import lru_cache
from math import expm1, inf, log1p
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.trade.stove import (
    Calm,
    Outside,
    Stove,
    calm,
    cooler_than_gas_k,
    fire_w,
    losses_in_wind_w,
    net_powers_w,
    outside_of,
    useful_w_per_k,
    wind_at_pot_m_s,
)

GRID_LOW_C: Final = -60.0
GRID_STEP_K: Final = 20.0
LAST: Final = 31
NODES_C: Final[tuple[float, ...]] = tuple(GRID_LOW_C + GRID_STEP_K * i for i in range(LAST + 1))
"""Nodes of every row [degC]: -60 to 560. Straight lines between them miss net power by less than 1 W or .2 %, whichever
is more; beyond them the first and the last line go on."""

Nodes = NDArray[np.float64]
"""A number at each node."""
GRID_C: Final[Nodes] = np.array(NODES_C)

LEAST_W: Final = 1e-6
LEAST_W_PER_K: Final = 1e-9
"""Net power and slope closer to zero than this [W, W/K] are set to it, below zero, so that nothing divides by
zero; no melt lasts long enough to notice."""

AIRS: Final = 512
WEATHERS: Final = 4096
"""Airs and pairs of air and wind in which the losses of pots are kept for all tables of a process, about 3 and 1 kB
each: a year meets some 60 airs and 150 pairs, and stoves that differ in the burner alone lose the same."""


class Curve:
    """Net power over pot temperature, with the time that warming or cooling along it takes.

    Parameters
    ----------
    power_w : tuple of float
        Net power at the nodes [W].
    spent_k_per_w : tuple of float
        Integral of dT/|net power| up to each node [K/W]; times a heat capacity it is a time. The cell in which
        net power changes sign counts nothing, so only differences on one side of it have a meaning.
    positive : int
        How many nodes, from the coldest on, gain heat.
    """

    __slots__ = ("positive", "power_w", "spent_k_per_w")

    def __init__(self, power_w: tuple[float, ...], spent_k_per_w: tuple[float, ...], positive: int) -> None:
        self.power_w = power_w
        self.spent_k_per_w = spent_k_per_w
        self.positive = positive

    def slope_w_per_k(self, i: int) -> float:
        """Slope of net power from a node to the next [W/K], never zero; worked out anew, which takes less memory."""
        return _slope_w_per_k(self.power_w[i], self.power_w[i + 1])

    def at(self, temperature_c: float) -> float:
        """Net power [W] at a pot temperature [degC]."""
        i = int((temperature_c - GRID_LOW_C) / GRID_STEP_K)
        if not 0 <= i < LAST:
            i = 0 if i < 0 else LAST - 1
        power_w = self.power_w[i]
        slope = _slope_w_per_k(power_w, self.power_w[i + 1])
        return power_w + slope * (temperature_c - (GRID_LOW_C + GRID_STEP_K * i))

    def spent(self, temperature_c: float, warming: bool) -> float:
        """Integral of dT/|net power| up to a temperature [K/W]; infinite from where net power is zero."""
        i = int((temperature_c - GRID_LOW_C) / GRID_STEP_K)
        if not 0 <= i < LAST:
            i = 0 if i < 0 else LAST - 1
        j = i if warming else i + 1
        power_w = self.power_w[j]
        slope = _slope_w_per_k(self.power_w[i], self.power_w[i + 1])
        ratio = slope * (temperature_c - (GRID_LOW_C + GRID_STEP_K * j)) / power_w
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
        slope = _slope_w_per_k(self.power_w[i], self.power_w[i + 1])
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
    powers_w : tuple of arrays
        Net power at the nodes [W] for `loose`, `pooled` and `off`: while burning under loose weights, burning with a
        pool or heel, burner off.
    fire_w : float
        Fire that burns [W, net heating value]; fuel follows from it.
    useful_w : float
        Heat into a pot with a pool at 0 degC [W]; falls in a straight line to nothing at `gas_c`.
    gas_c : float
        Temperature of the burnt gas [degC].
    pool_share : float
        Part of the latent heat after which a pool has formed [share].
    """

    __slots__ = ("_off", "_off_w", "_way", "fire_w", "gas_c", "loose", "pool_share", "pooled", "useful_w")

    def __init__(
        self,
        powers_w: tuple[Nodes, Nodes, Nodes],
        fire_w: float,
        useful_w: float,
        gas_c: float,
        pool_share: float,
    ) -> None:
        loose_w, pooled_w, self._off_w = powers_w
        self.loose, self.pooled = _curve(loose_w), _curve(pooled_w)
        self._off: Curve | None = None
        self.fire_w = fire_w
        self.useful_w = useful_w
        self.gas_c = gas_c
        self.pool_share = pool_share
        self._way: Way | None = None

    @property
    def off(self) -> Curve:
        """Net power with the burner off; few rows are asked for it, so it is made when one is."""
        if self._off is None:
            self._off = _curve(self._off_w)
        return self._off

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
        self._pot = outside_of(stove)
        self._cooler_k = cooler_than_gas_k(stove, GRID_C)
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
            useful_at_k = useful_w_per_k(stove, fire, wind_m_s, True)
            losses_w = _losses_w(self._pot, air_c, wind_at_pot_m_s(stove, wind_m_s))
            row = self._by_fire[air_c, wind_m_s, fire] = HourRow(
                net_powers_w(stove, useful_at_k * self._cooler_k, losses_w, self.lid),
                fire,
                useful_at_k * cooler_than_gas_k(stove, 0.0),
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


@lru_cache(maxsize=AIRS)
def _calm(pot: Outside, air_c: float) -> Calm[Nodes]:
    """A pot at the nodes in still air [degC]."""
    return calm(pot, GRID_C, air_c)


@lru_cache(maxsize=WEATHERS)
def _losses_w(pot: Outside, air_c: float, wind_at_pot: float) -> tuple[Nodes, Nodes, Nodes]:
    """Losses of an open pot at the nodes [W]: top, side, bottom, in air [degC] and wind at the pot [m/s]."""
    return losses_in_wind_w(pot, _calm(pot, air_c), wind_at_pot)


def _curve(net_w: Nodes) -> Curve:
    """Curve from net powers at the nodes [W]."""
    power_w: list[float] = [w if not -LEAST_W < w < LEAST_W else -LEAST_W for w in net_w.tolist()]
    positive = 0
    while positive <= LAST and power_w[positive] > 0.0:
        positive += 1
    slopes = [_slope_w_per_k(power_w[i], power_w[i + 1]) for i in range(LAST)]
    changes = [
        slopes[i] * GRID_STEP_K / power_w[i] if (power_w[i] > 0.0) is (power_w[i + 1] > 0.0) else 0.0
        for i in range(LAST)
    ]
    spent, spent_k_per_w = 0.0, [0.0]
    logs: list[float] = np.log1p(changes).tolist()
    for i in range(LAST):
        spent += abs(logs[i] / slopes[i])
        spent_k_per_w.append(spent)
    return Curve(tuple(power_w), tuple(spent_k_per_w), positive)


def _slope_w_per_k(from_w: float, to_w: float) -> float:
    """Slope of net power from a node to the next, never zero."""
    slope = (to_w - from_w) / GRID_STEP_K
    return slope if not -LEAST_W_PER_K < slope < LEAST_W_PER_K else -LEAST_W_PER_K
