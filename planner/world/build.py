"""One world: the models that a scenario names, asked in turn, each with streams of its own.

In: chance, a business, its models ready to draw. Out: ``World``, read-only.
Must not know: who offers the models (they are typed by what they do), options, what the owner does.

Options that leave a part alone share it: with a ``cache`` for the replicate the same part, and where nothing differs
the same world, is handed out again.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, MutableMapping
from dataclasses import dataclass, fields
from datetime import date
from functools import lru_cache
from typing import Any, Final, TypeVar

import numpy as np

from planner.scenario.business import Business, Pewter
from planner.trade.daylight import daylight
from planner.world.arrivals import arrivals
from planner.world.asking import Asks, ModelError, Source, ask, unheard
from planner.world.draw import Draw
from planner.world.parts import (
    Crowd,
    Finds,
    FloatArray,
    Horizon,
    Marks,
    Pricing,
    Rates,
    Supply,
    Weather,
    World,
)

__all__ = ["Cache", "ModelError", "Models", "build", "daylight_of", "horizon_of"]

YEAR_H: Final = 365.0 * 24.0
MOST_DRAWN: Final = 1_000_000
"""Buckets and needs of all sources and classes of buyers together; a world of so many takes about 300 MB (assumed)."""
Cache = MutableMapping[Hashable, Any]
"""What was drawn for one replicate, by what it was drawn from. Starts as an empty dict; the caller keeps it."""
P = TypeVar("P")
Q = TypeVar("Q", Finds, Marks)


@dataclass(frozen=True, slots=True, eq=False)
class Models:
    """What a business is played with, the same in every replicate."""

    horizon: Horizon
    sunrise_h: FloatArray
    sunset_h: FloatArray
    weather: Source[Weather]
    rates: Source[Rates]
    supplies: tuple[Source[Supply], ...]
    demands: tuple[Source[Crowd], ...]
    pricing: Pricing


def horizon_of(business: Business) -> Horizon:
    """Days that a business is played, and where."""
    calendar = business.calendar
    days = 365 * calendar.years if calendar.days is None else calendar.days
    return _horizon(
        calendar.start, int(days), calendar.latitude_deg, calendar.zone_longitude_deg, calendar.time_zone
    )


@lru_cache(maxsize=16)
def _horizon(start: date, days: int, latitude_deg: float, longitude_deg: float, time_zone: str) -> Horizon:
    """The same for all options that share a calendar; its columns may not be written to."""
    horizon = Horizon(start, days, latitude_deg, longitude_deg, time_zone)
    for array in (
        horizon.day_of_year,
        horizon.month,
        horizon.weekday,
        horizon.summer_time_h,
        horizon.standard_hour,
        horizon.sun_ahead_h,
    ):
        array.setflags(write=False)
    return horizon


def daylight_of(horizon: Horizon) -> tuple[FloatArray, FloatArray]:
    """Sunrise and sunset of each day on the clock [h of day], shape (days,) each.

    0 and 24 where the sun stays up.
    """
    sunrise_h, sunset_h = daylight(horizon.latitude_deg, horizon.day_of_year)
    ahead_h = np.where(sunset_h - sunrise_h < 24.0, horizon.sun_ahead_h, 0.0)
    sunrise_h, sunset_h = sunrise_h - ahead_h, sunset_h - ahead_h
    sunrise_h.setflags(write=False)
    sunset_h.setflags(write=False)
    return sunrise_h, sunset_h


def build(
    draw: Draw, business: Business, models: Models, cache: Cache | None = None, asks: Asks = unheard
) -> World:
    """Draw everything that happens to a business by itself.

    Parameters
    ----------
    draw : Draw
        Chance of one replicate.
    business : Business
        Settings, option and outlook applied.
    models : Models
        Its models, made once by ``planner.plugin.models.models_for``.
    cache : Cache, optional
        What this replicate's other options have drawn already.
    asks : Asks
        Told of each package that is asked.

    Returns
    -------
    World
        Read-only; the same for the same arguments, to the bit.

    Raises
    ------
    ModelError
        A model failed or returned something unsound; names the model, the replicate and the line.
    """
    kept = {} if cache is None else cache
    horizon = models.horizon
    weather = _drawn(models.weather, Weather, draw, horizon, kept, asks)
    rates = _drawn(models.rates, Rates, draw, horizon, kept, asks)
    supplies, crowds, drawn = list[Supply](), list[Crowd](), 0
    for supplier in models.supplies:
        supplies.append(_drawn(supplier, Supply, draw, horizon, kept, asks))
        drawn = _still_few(drawn + sum(shop.mass_kg.size for shop in supplies[-1].shops), horizon)
    for buyers in models.demands:
        crowds.append(_drawn(buyers, Crowd, draw, horizon, kept, asks))
        drawn = _still_few(drawn + crowds[-1].gap_h.size, horizon)
    finds = _once(
        kept,
        ("pewter", *vars(business.pewter).values(), horizon, draw),
        lambda: _finds(business.pewter, draw, horizon),
    )
    marks = _once(kept, ("marks", horizon, draw), lambda: _marks(draw, horizon))
    parts = (weather, rates, *supplies, *crowds, finds, marks)
    return _once(
        kept,
        ("world", horizon, len(supplies), *map(id, parts)),
        lambda: World(
            horizon=horizon,
            weather=weather,
            rates=rates,
            supplies=tuple(supplies),
            crowds=tuple(crowds),
            finds=finds,
            marks=marks,
            sunrise_h=models.sunrise_h,
            sunset_h=models.sunset_h,
        ),
    )


def _still_few(drawn: int, horizon: Horizon) -> int:
    """So many buckets and needs, if they can be played."""
    if drawn > MOST_DRAWN:
        raise ModelError(
            f"more than {MOST_DRAWN:,} buckets and needs of buyers in {horizon.days} days; make the classes of buyers "
            "(demand) and the sources (supply) fewer, or the gaps in them longer"
        )
    return drawn


def _once(kept: Cache, key: Hashable, make: Callable[[], P]) -> P:
    """What was kept under this key, or what ``make`` gives, kept from now on."""
    if key not in kept:
        kept[key] = make()
    found: P = kept[key]
    return found


def _drawn(source: Source[P], kind: type[P], draw: Draw, horizon: Horizon, kept: Cache, asks: Asks) -> P:
    """One part, named as the scenario calls it, looked at and read-only."""
    key = (kind, source.stream, source.key, horizon, draw)
    return _once(kept, key, lambda: ask(source, kind, draw, horizon, asks))


def _finds(pewter: Pewter, draw: Draw, horizon: Horizon) -> Finds:
    """Pewter that turns up by chance, so many times a year on average."""
    if pewter.finds_per_year == 0.0:
        none = np.empty(0)
        return _sealed(Finds(none, none, none, none))
    gap_h = YEAR_H / pewter.finds_per_year
    u, t_h = arrivals(
        draw.within("pewter"),
        "finds",
        4,
        lambda gap_u: -gap_h * np.log1p(-gap_u),
        gap_h,
        float(horizon.hours),
    )
    mass_kg = pewter.mass_kg.from_uniform(u[:, 1])
    price_per_kg = pewter.price_per_kg.from_uniform(u[:, 3])
    return _sealed(Finds(t_h, mass_kg, pewter.tin.from_uniform(u[:, 2]), mass_kg * price_per_kg))


def _marks(draw: Draw, horizon: Horizon) -> Marks:
    """Uniform marks of each calendar day."""
    chance = draw.within("marks")
    return _sealed(
        Marks(*(chance.uniform(name, horizon.days) for name in ("overheated", "helper absent", "downgraded")))
    )


def _sealed(part: Q) -> Q:
    for array in (getattr(part, one.name) for one in fields(part)):
        array.setflags(write=False)
    return part
