"""Supply model ``sources.replay``: the buckets that the owner fetched, as the owner wrote them down.

In: settings and the records that they name. Out: ``Supply``, each shop of the records with its buckets: date, mass,
price, and what else a record says, to the bit. Must not know: what the owner does with them.

What a record does not say (how long a bucket waits, how badly it would be sorted, its mix if it is not told) comes from
settings and from marks of the calendar day, so that a record more or less changes no mark of another day.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Annotated, Final, NamedTuple

import numpy as np
from pydantic import AfterValidator, Field, ValidationInfo

from planner.plugin.contents import FallingLead, lots, parts_of
from planner.plugin.protocol import Provider
from planner.scenario.clock import WeekdayWindows
from planner.scenario.data import DataFile
from planner.scenario.section import Named, Section
from planner.scenario.spread import Spread, SpreadDays
from planner.scenario.units import Count, DistanceKm, currency_of
from planner.world.draw import Draw
from planner.world.parts import FloatArray, Horizon, Shop, Supply
from planner_other_sources.filling import CLIP, MIX_COLUMNS, Filled
from planner_other_sources.records import Record, places, read

_WAITS, _WET, _MISSED, _MIX = range(4)
_COLUMNS: Final = _MIX + MIX_COLUMNS


def _scenarios(currency: str, info: ValidationInfo) -> str:
    """The scenario's own currency, which is the only one that is right."""
    own = currency_of(info.context) or ""
    if currency and own and currency != own:
        raise ValueError(
            f"the scenario counts in {own}, not in {currency}; leave this out, and convert the file"
        )
    return own or currency


class RecordedShop(Section):
    """Where a shop of the records is."""

    x_km: DistanceKm = Field(..., description="East of the owner's place; below 0 west.")
    y_km: DistanceKm = Field(..., description="North of the owner's place; below 0 south.")
    open: WeekdayWindows | None = Field(None, description="Opening hours by weekday. Left out: as for all.")


class _Recorded(Section):
    """The file, and what it does not say."""

    file: DataFile = Field(
        ..., description="The records: a CSV in the scenario's folder, a line for each bucket."
    )
    repeat: bool = Field(
        False,
        description="Play the records again year by year, before and after their own dates (every two or more years "
        "if they span as many).",
    )
    shops: Named[RecordedShop] = Field(
        {}, max_length=500, description="Where each shop is, if the file has no columns x and y for it."
    )
    waits_days: SpreadDays = Field(
        Spread("gamma", (45.0, 20.0), low=0.0),
        description="How long a bucket waits after its date before it goes elsewhere (assumed).",
    )
    misses_borne: Count = Field(
        3, description="Buckets that may go elsewhere before a shop stops giving (assumed)."
    )
    currency: Annotated[str, AfterValidator(_scenarios)] = Field(
        "", validate_default=True, description="Currency of the file's prices. Left out: the scenario's."
    )


class ReplaySettings(FallingLead, Filled, _Recorded):
    """Own pickup records, played as they were."""


class _Played(NamedTuple):
    """A record on a day of the horizon; the how-manieth of its shop on that day."""

    day: int
    nth: int
    record: Record


class Replay:
    """Shops of which there are records; see the module."""

    def __init__(self, settings: ReplaySettings) -> None:
        self.settings = settings
        self.records = read(settings.file, settings.currency)
        told = dict(places(settings.file, self.records))
        said = {name: (shop.x_km, shop.y_km) for name, shop in settings.shops.items()}
        self.places = said | told
        for record in self.records:
            if record.shop not in self.places:
                raise ValueError(
                    f"{settings.file.name}:{record.line}: nothing says where {record.shop} is; give the file columns "
                    f"x [km] and y [km], or write it under shops, such as {record.shop}: {{x: 3 km, y: -1 km}}"
                )
        self._by_shop: dict[str, list[Record]] = {}
        for record in sorted(self.records, key=lambda one: (one.shop, one.day)):
            self._by_shop.setdefault(record.shop, []).append(record)
        days = [record.day for record in self.records]
        self.span = min(days), max(days)
        self.period_years = _whole_years(*self.span)

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Each shop with the buckets recorded for the days of the horizon."""
        shops = [
            self._shop(name, self._played(records, horizon), draw.within(f"shop/{name}"), horizon)
            for name, records in self._by_shop.items()
        ]
        return Supply("", tuple(shops), self._note(horizon))

    def _shop(self, name: str, played: Sequence[_Played], chance: Draw, horizon: Horizon) -> Shop:
        of, own = self.settings, self.settings.shops.get(name)
        u = _marks(chance, played, horizon)
        ready_h = np.array([24.0 * one.day for one in played])
        recorded = [one.record for one in played]
        x_km, y_km = self.places[name]
        wet = u[:, _WET] < of.wet_share
        for k, record in enumerate(recorded):
            wet[k] = wet[k] if record.wet is None else record.wet
        return Shop(
            name=name,
            x_km=x_km,
            y_km=y_km,
            known=True,
            asking_h=0.0,
            says_yes=True,
            misses_borne=of.misses_borne,
            price_creep_share=0.0,
            open_hours=of.open if own is None or own.open is None else own.open,
            ready_h=ready_h,
            gone_after_h=24.0 * of.waits_days.from_uniform(u[:, _WAITS]),
            mass_kg=np.array([record.mass_kg for record in recorded]),
            shares=self._shares(recorded, u[:, _MIX:], ready_h, horizon),
            price=np.array([record.price for record in recorded]),
            wet=wet,
            missed_u=u[:, _MISSED].copy(),
        )

    def _shares(
        self, recorded: Sequence[Record], u: FloatArray, ready_h: FloatArray, horizon: Horizon
    ) -> FloatArray:
        """Mass shares in the order of PARTS: as recorded, less what lead has lost since; else by the settings' mix."""
        of = self.settings
        weights, clip_share = lots(of.mix, u[:, CLIP + 1 :]), of.mix.clip_share.from_uniform(u[:, CLIP])
        fallen = of.fallen_share(ready_h, horizon)
        recorded_h = np.array([24.0 * (record.day - horizon.start).days for record in recorded])
        since = np.maximum(fallen - of.fallen_share(recorded_h, horizon), 0.0)
        for k, record in enumerate(recorded):
            if record.weights is not None:
                weights[k], fallen[k] = record.weights, since[k]
            if record.clip_share is not None:
                clip_share[k] = record.clip_share
        return parts_of(weights, clip_share, fallen, of.falls_to_steel_share)

    def _played(self, records: Sequence[Record], horizon: Horizon) -> list[_Played]:
        """The records of a shop on the days of the horizon, in order."""
        dated = [(day, record) for record in records for day in self._days(record.day, horizon)]
        dated.sort(key=lambda one: one[0])
        found, before = list[_Played](), Counter[int]()
        for day, record in dated:
            found.append(_Played(day, before[day], record))
            before[day] += 1
        return found

    def _days(self, day: date, horizon: Horizon) -> Iterator[int]:
        """Days of the horizon on which a bucket of this date is there."""
        years = range(day.year, day.year + 1)
        if self.settings.repeat:
            period = self.period_years
            last = horizon.start.year + horizon.days // 365 + 1
            behind = (day.year - horizon.start.year) // period * period
            years = range(day.year - behind - period, last + 1, period)
        for year in years:
            number = (_in_year(day, year) - horizon.start).days
            if 0 <= number < horizon.days:
                yield number

    def _note(self, horizon: Horizon) -> str:
        """What was left out, or made up by repeating."""
        (first, last), name = self.span, self.settings.file.name
        if self.settings.repeat:
            period = self.period_years
            pace = "every year" if period == 1 else f"every {period} years"
            return f"{name}: the records of {first} to {last} are played again {pace}"
        end = horizon.start + timedelta(days=horizon.days - 1)
        early = sum(record.day < horizon.start for record in self.records)
        late = sum(record.day > end for record in self.records)
        if not early and not late:
            return ""
        return (
            f"{name}: of {len(self.records)} records {early} lie before the first day played ({horizon.start}) and "
            f"{late} after the last ({end}); they are left out (with repeat: true they come again year by year)"
        )


def _whole_years(first: date, last: date) -> int:
    """The fewest whole years that hold both days."""
    years = 1
    while _in_year(first, first.year + years) <= last:
        years += 1
    return years


def _in_year(day: date, year: int) -> date:
    """The same date in another year; 29 February is the 28th where there is none."""
    try:
        return day.replace(year=year)
    except ValueError:
        return day.replace(year=year, day=28)


def _marks(chance: Draw, played: Sequence[_Played], horizon: Horizon) -> FloatArray:
    """Uniforms of each bucket, shape (buckets, columns): those of its day, and of its place among that day's."""
    u = np.empty((len(played), _COLUMNS))
    nth = np.array([one.nth for one in played], dtype=np.int64)
    day = np.array([one.day for one in played], dtype=np.int64)
    for number in range(int(nth.max(initial=-1)) + 1):
        rows = nth == number
        u[rows] = chance.uniform(f"bucket {number + 1} of the day", (horizon.days, _COLUMNS))[day[rows]]
    return u


REPLAY = Provider(
    kind="supply",
    name="replay",
    settings=ReplaySettings,
    build=Replay,
    summary="own pickup records from a CSV, to the bit, once or year by year",
    example={
        "file": "pickups.csv",
        "repeat": True,
        "shops": {
            "Ropewalk Tyres": {"x": "2 km", "y": "3 km"},
            "Mill Yard Garage": {"x": "-4 km", "y": "1 km"},
        },
        "waits": "30 days",
    },
)
