"""Supply model ``core.shops``: tyre shops, how fast their buckets fill and what is in them.

In: settings for each shop. Out: ``Supply``, every bucket that each shop fills within the horizon.
Must not know: who fetches the buckets, and when.

Every shop has streams of its own, keyed by its name, with one row of uniforms a bucket: another shop, a longer
horizon or another season changes no number of the buckets that were there before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.plugin.builtin.pace import pace
from planner.plugin.builtin.shop_settings import ShopSettings, ShopsSettings
from planner.plugin.contents import KINDS_OF_WEIGHT, Mix, lots, parts_of
from planner.plugin.protocol import Provider
from planner.scenario.spread import Spread
from planner.world.arrivals import arrivals
from planner.world.draw import Draw
from planner.world.parts import FloatArray, Horizon, Shop, Supply, clock_h

GAP_DAYS: Final[Mapping[str, Spread]] = {
    "small": Spread("gamma", (40.0, 16.0), low=0.0),
    "independent": Spread("gamma", (16.0, 6.0), low=0.0),
    "chain": Spread("gamma", (7.0, 3.0), low=0.0),
}
"""Days from one full bucket to the next by kind of shop: under one a month, about two a month, one a week.
Common practice, no published source; the standard deviations are assumed."""

MOST_BUCKETS: Final = 200_000
"""Buckets of all shops together in one horizon; beyond this an input is taken for a mistake (assumed)."""

T = TypeVar("T")
_GAP, _MASS, _PRICE, _WAITS, _WET, _MISSED, _CLIP, _MIX = range(8)
_COLUMNS = _MIX + KINDS_OF_WEIGHT
_FIRST, _SAYS_YES, _ASKING = range(3)


K = TypeVar("K", Spread, Mix)


@dataclass(frozen=True, slots=True, eq=False)
class _ByShop(Generic[K]):
    """What holds for each shop, so that buckets of shops that are alike are reckoned at once."""

    kinds: tuple[K, ...]
    kind_of_shop: NDArray[np.intp]

    @classmethod
    def gathered(cls, each: Sequence[K]) -> _ByShop[K]:
        kinds = tuple(dict.fromkeys(each))
        return cls(kinds, np.array([kinds.index(one) for one in each], dtype=np.intp))

    def rows(self, shop: NDArray[np.intp]) -> Iterator[tuple[K, NDArray[np.intp] | slice]]:
        """Each kind with the rows it holds for."""
        if len(self.kinds) == 1:
            yield self.kinds[0], slice(None)
            return
        kind = self.kind_of_shop[shop]
        for number, one in enumerate(self.kinds):
            yield one, np.flatnonzero(kind == number)


def _values(spreads: _ByShop[Spread], shop: NDArray[np.intp], u: FloatArray) -> FloatArray:
    values = np.empty_like(u)
    for spread, rows in spreads.rows(shop):
        values[rows] = spread.from_uniform(u[rows])
    return values


class Shops:
    """Tyre shops that fill buckets; see the module."""

    def __init__(self, settings: ShopsSettings) -> None:
        usual, places = settings.typical, tuple(settings.shops.values())
        self.settings = settings
        self._gaps = tuple(place.gap_days or GAP_DAYS[place.kind] for place in places)
        self._mass_kg = _ByShop.gathered([place.mass_kg or usual.mass_kg for place in places])
        self._price = _ByShop.gathered([place.price or usual.price for place in places])
        self._waits_days = _ByShop.gathered([place.waits_days or usual.waits_days for place in places])
        self._mix = _ByShop.gathered([place.mix or usual.mix for place in places])
        self._wet_share = np.array([_or(place.wet_share, usual.wet_share) for place in places])

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Every shop with the buckets it fills within the horizon."""
        settings = self.settings
        operational_h = pace(horizon, settings.season, settings.growth_a_year_share, settings.spells)
        marks, uniforms, times, number = [], [], [], 0
        for (name, place), gap in zip(settings.shops.items(), self._gaps, strict=True):
            chance = draw.within(f"shop/{name}")
            mark = chance.uniform("place", 3)
            u, at_h = _fills(chance, place, gap, mark[_FIRST : _FIRST + 1], float(operational_h[-1]))
            marks.append(mark)
            uniforms.append(u)
            times.append(at_h)
            number += at_h.size
            if number > MOST_BUCKETS:
                raise ValueError(
                    f"the shops fill more than {MOST_BUCKETS:,} buckets in {horizon.days} days; make the gap between "
                    "them longer, or the shops fewer"
                )
        u = np.concatenate(uniforms)
        counts = [at_h.size for at_h in times]
        shop = np.repeat(np.arange(len(counts)), counts)
        ready_h = clock_h(operational_h, np.concatenate(times))
        columns = (
            ready_h,
            24.0 * _values(self._waits_days, shop, u[:, _WAITS]),
            _values(self._mass_kg, shop, u[:, _MASS]),
            self._shares(shop, u, ready_h, horizon),
            _values(self._price, shop, u[:, _PRICE]),
            u[:, _WET] < self._wet_share[shop],
            u[:, _MISSED].copy(),
        )
        edges = np.cumsum([0, *counts]).tolist()
        buckets = [[column[one:then] for column in columns] for one, then in pairwise(edges)]
        return Supply("", tuple(self._described(marks, buckets)))

    def _described(
        self, marks: Sequence[FloatArray], buckets: Sequence[Sequence[NDArray[Any]]]
    ) -> Iterator[Shop]:
        """Each shop with its columns; unknown ones are found one after the other."""
        usual, asked_h = self.settings.typical, 0.0
        for (name, place), mark, columns in zip(self.settings.shops.items(), marks, buckets, strict=True):
            gives = place.kind != "chain" and bool(mark[_SAYS_YES] < self.settings.says_yes_share)
            if not place.known:
                asked_h += float(place.asking_h.from_uniform(mark[_ASKING : _ASKING + 1])[0])
            yield Shop(
                name,
                place.x_km,
                place.y_km,
                place.known,
                0.0 if place.known else asked_h,
                place.known or gives,
                _or(place.misses_borne, usual.misses_borne),
                _or(place.price_creep_share, usual.price_creep_share),
                _or(place.open, usual.open),
                *columns,
            )

    def _shares(
        self, shop: NDArray[np.intp], u: FloatArray, ready_h: FloatArray, horizon: Horizon
    ) -> FloatArray:
        """Mass shares in the order of PARTS, shape (buckets, 6)."""
        weights = np.empty((u.shape[0], KINDS_OF_WEIGHT))
        clip_share = np.empty(u.shape[0])
        for mix, rows in self._mix.rows(shop):
            weights[rows] = lots(mix, u[rows, _MIX:])
            clip_share[rows] = mix.clip_share.from_uniform(u[rows, _CLIP])
        settings = self.settings
        fallen_share = settings.fallen_share(ready_h, horizon)
        return parts_of(weights, clip_share, fallen_share, settings.falls_to_steel_share)


def _or(own: T | None, usual: T) -> T:
    return usual if own is None else own


def _fills(
    chance: Draw, place: ShopSettings, gap: Spread, first_u: FloatArray, end_h: float
) -> tuple[FloatArray, FloatArray]:
    """Uniforms and operational times [h] of the buckets that a shop fills."""
    first_h = None if place.first_days is None else 24.0 * float(place.first_days.from_uniform(first_u)[0])
    return arrivals(
        chance,
        "buckets",
        _COLUMNS,
        lambda u: _gaps_h(gap, u, float(first_u[0])),
        gap.mean * 24.0,
        end_h,
        first_h,
    )


def _gaps_h(gap: Spread, u: FloatArray, into_first: float) -> FloatArray:
    """Gaps [h]; the first bucket is already partly full when the horizon begins."""
    gaps = gap.from_uniform(u) * 24.0
    gaps[0] *= 1.0 - into_first
    return gaps


SHOPS = Provider(
    kind="supply",
    name="shops",
    settings=ShopsSettings,
    build=Shops,
    summary="tyre shops, each with the pace, the mix and the prices of its buckets",
    example={
        "shops": {
            "Mill Road Tyres": {"x": "3 km", "y": "-1 km", "kind": "independent"},
            "Quarry Garage": {"x": "-8 km", "y": "5 km", "kind": "small", "price": "8 EUR"},
            "Harbour Wheels": {"x": "6 km", "y": "6 km", "known": False, "asking": "4 h"},
        },
        "typical": {
            "mass": {"triangular": {"low": "45 kg", "mode": "59 kg", "high": "65 kg"}},
            "price": "10 EUR",
        },
        "lead_falls_a_year_share": 0.03,
    },
)
