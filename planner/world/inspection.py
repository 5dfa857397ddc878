"""What a model handed over, looked at before anybody relies on it.

In: a part of the world as a model returned it. Out: nothing where it is sound, its arrays made read-only; else a
``ValueError`` that names the column, what was found and what is needed.
Must not know: which model it was, how the part is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any, Final, NamedTuple

import numpy as np

from planner.scenario.spread import LEAST_BUCKET_KG
from planner.world.parts import ALLOYS, CHANNELS, GOODS, PARTS, Crowd, Horizon, Rates, Shop, Supply, Weather

SUM_TOLERANCE: Final = 1e-6


class Column(NamedTuple):
    """What an array must be like: its name, its shape, its lowest and highest value, what it holds."""

    name: str
    shape: tuple[int, ...]
    low: float = 0.0
    high: float = float("inf")
    holds: str = "f"


def inspect(part: object, kind: type, horizon: Horizon) -> None:
    """Check a part of the world and make its arrays read-only.

    Parameters
    ----------
    part : object
        What a model's ``draw`` returned.
    kind : type
        `Weather`, `Rates`, `Supply` or `Crowd`.
    horizon : Horizon
        Days that it must cover.

    Raises
    ------
    ValueError
        In plain words.
    """
    if type(part) is not kind:
        raise ValueError(f"it returned {type(part).__name__}, not {kind.__name__}")
    if isinstance(part, Weather):
        _weather(part, horizon)
    elif isinstance(part, Rates):
        _rates(part, horizon)
    elif isinstance(part, Supply):
        _supply(part)
    elif isinstance(part, Crowd):
        _crowd(part, horizon)


def _weather(weather: Weather, horizon: Horizon) -> None:
    hours = (horizon.hours,)
    _check(weather, Column("temperature_c", hours, -90.0, 60.0))
    for name, high in (("wind_m_s", 110.0), ("rain_mm", 400.0), ("sun_w_m2", 2000.0)):
        _check(weather, Column(name, hours, 0.0, high))


def _rates(rates: Rates, horizon: Horizon) -> None:
    if missing := [good for good in GOODS if good not in rates.per_kg]:
        raise ValueError(f"a price is missing for {', '.join(missing)}")
    for good in GOODS:
        _check_array(rates.per_kg[good], Column(f"per_kg[{good!r}]", (horizon.days,)))


def _supply(supply: Supply) -> None:
    """Checks all shops' buckets in one go, since there are many small arrays."""
    names = [shop.name for shop in supply.shops]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise ValueError(f"two shops are called {doubled[0]!r}")
    for shop in supply.shops:
        _shop_shapes(shop)
    if not any(shop.ready_h.size for shop in supply.shops):
        return
    whole = [Column(name, ()) for name in ("ready_h", "gone_after_h", "price")]
    whole += [Column("mass_kg", (), LEAST_BUCKET_KG)]
    whole += [Column("missed_u", (), 0.0, 1.0), Column("shares", (), 0.0, 1.0 + SUM_TOLERANCE)]
    for column in whole:
        if not _all_within(_all(supply.shops, column.name), column):
            for shop in supply.shops:
                _check_values(getattr(shop, column.name), column._replace(name=_in(shop, column.name)))
    if not _all_sum_to_one(_all(supply.shops, "shares")):
        for shop in supply.shops:
            _shares_sum_to_one(shop)


def _all(shops: Sequence[Shop], name: str) -> np.ndarray[Any, Any]:
    return np.concatenate([getattr(shop, name) for shop in shops])


def _in(shop: Shop, name: str) -> str:
    return f"shop {shop.name!r}: {name}"


def _all_sum_to_one(shares: np.ndarray[Any, Any]) -> bool:
    return bool(np.abs(shares.sum(axis=1) - 1.0).max(initial=0.0) <= SUM_TOLERANCE)


def _shares_sum_to_one(shop: Shop) -> None:
    if not _all_sum_to_one(shop.shares):
        sums = shop.shares.sum(axis=1)
        row = int(np.abs(sums - 1.0).argmax())
        raise ValueError(f"{_in(shop, 'shares')} at [{row}] sum to {sums[row]:.6g}; a bucket's must sum to 1")


def _shop_shapes(shop: Shop) -> None:
    where = _in(shop, "")
    buckets = np.shape(shop.ready_h)[:1]
    for name in ("ready_h", "gone_after_h", "mass_kg", "price", "missed_u"):
        _check_shape(getattr(shop, name), Column(where + name, buckets))
    _check_shape(shop.wet, Column(where + "wet", buckets, holds="b"))
    _check_shape(shop.shares, Column(where + "shares", (*buckets, len(PARTS))))
    if shop.owed is not None:
        _check_array(shop.owed, Column(where + "owed", buckets))
        if shop.bound and not shop.known:
            raise ValueError(f"{where}what is owed by contract needs a shop that is known from the start")
    for name in ("x_km", "y_km", "asking_h", "misses_borne", "price_creep_share"):
        if not isfinite(value := getattr(shop, name)):
            raise ValueError(f"{where}{name} is {value}; it must be a number")
    if shop.ready_h.size > 1 and (shop.ready_h[1:] < shop.ready_h[:-1]).any():
        raise ValueError(where + "ready_h must be in order of time")
    if len(shop.open_hours) != 7:
        raise ValueError(f"{where}open_hours must have seven weekdays, not {len(shop.open_hours)}")


def _crowd(crowd: Crowd, horizon: Horizon) -> None:
    needs = np.shape(crowd.gap_h)
    if len(needs) != 2:
        raise ValueError(f"gap_h has the shape {needs}; (people, needs) is needed")
    people = needs[:1]
    if not 0 <= crowd.known <= people[0]:
        raise ValueError(f"{crowd.known} people are known of {people[0]}")
    if crowd.channel not in CHANNELS:
        raise ValueError(f"the channel is {crowd.channel!r}; it must be one of {', '.join(CHANNELS)}")
    _check(crowd, Column("operational_h", (horizon.days + 1,)))
    if (np.diff(crowd.operational_h) < 0.0).any():
        raise ValueError("operational_h must never fall")
    for name in ("gap_h", "size_kg", "patience_h", "tin_kg"):
        _check(crowd, Column(name, needs))
    for name in ("shows_up", "brings_friend"):
        _check(crowd, Column(name, needs, holds="b"))
    _check(crowd, Column("returns_at_share", people, 0.0, 1.0))
    _check(crowd, Column("misses_borne", people, holds="i"))
    _alloys(crowd.most_per_kg, needs)
    _reached(crowd, people, horizon)
    for name in (
        "tin_most_per_kg",
        "sale_h",
        "message_h",
        "trip_km",
        "parcel_kg",
        "parcel_fee",
        "least_kg",
        "parcel_h",
    ):
        value = getattr(crowd, name)
        if not 0.0 <= value < float("inf"):
            raise ValueError(f"{name} is {value}; it must be a number from 0 up")


def _reached(crowd: Crowd, people: tuple[int, ...], horizon: Horizon) -> None:
    """Who comes by themselves, and what is paid for it."""
    if crowd.knows_from_h is not None:
        _check(crowd, Column("knows_from_h", people))
    for bill in crowd.bills:
        if not (0.0 <= bill.t_h < horizon.hours and 0.0 <= bill.amount < float("inf") and bill.what):
            raise ValueError(
                f"{bill} is no bill: its time must lie within the horizon, its amount be from 0 up, and it needs a name"
            )


def _alloys(most_per_kg: Mapping[Any, Any], needs: tuple[int, ...]) -> None:
    if not most_per_kg or set(most_per_kg) - set(ALLOYS):
        raise ValueError(
            f"most_per_kg has {', '.join(map(str, most_per_kg)) or 'no alloy'}; possible are {', '.join(ALLOYS)}"
        )
    for alloy, values in most_per_kg.items():
        _check_array(values, Column(f"most_per_kg[{alloy!r}]", needs))


def _check(part: object, column: Column) -> None:
    _check_array(getattr(part, column.name), column)


def _check_array(array: Any, column: Column) -> None:
    _check_shape(array, column)
    if column.holds != "b":
        _check_values(array, column)


_HOLDS: Final = {"f": np.float64, "b": np.bool_, "i": np.int64}


def _check_shape(array: Any, column: Column) -> None:
    """Kind and shape; from here on nobody can write into it."""
    if not isinstance(array, np.ndarray) or array.dtype != _HOLDS[column.holds]:
        found = f"an array of {array.dtype}" if isinstance(array, np.ndarray) else type(array).__name__
        raise ValueError(f"{column.name} is {found}; an array of {_HOLDS[column.holds].__name__} is needed")
    if array.shape != column.shape:
        raise ValueError(f"{column.name} has the shape {array.shape}; {column.shape} is needed")
    array.setflags(write=False)


def _check_values(array: Any, column: Column) -> None:
    """Range; what is not a number is in no range."""
    if _all_within(array, column):
        return
    wrong = np.argwhere(~((array >= column.low) & (array <= column.high) & np.isfinite(array)))
    first = tuple(wrong[0].tolist())
    needed = f"from {column.low:g} to {column.high:g}" if isfinite(column.high) else f"{column.low:g} or more"
    raise ValueError(
        f"{column.name} holds {array[first]} at [{', '.join(map(str, first))}]; it must be {needed}, "
        f"and {len(wrong)} of {array.size} values are not"
    )


def _all_within(array: Any, column: Column) -> bool:
    if not array.size:
        return True
    low, high = array.min(), array.max()
    return bool(low >= column.low and high <= column.high and high != float("inf"))
