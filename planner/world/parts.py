"""What a drawn world is made of: frozen columns that models fill in and the workshop looks up.

In: nothing. Out: the value types that every supply, demand, weather and rate model hands over.
Must not know: who drew them, what the owner does with them, files, simpy.

Arrays are read-only numpy arrays, float64 where nothing else is said; ``t_h`` is hours since midnight of day 0. No
value may be nan or infinite, and where no range is said, none below 0. ``planner.world.inspection`` checks all of it.
What models of packages hand over and are handed is a public API, since planner 0.1.0; columns may be added with a
default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import Any, Final, Literal, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from planner.scenario.zone import clock_ahead_h, standard_h
from planner.trade.daylight import solar_ahead_h

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Part = Literal["hard", "clip", "soft", "zinc", "steel", "rubbish"]
PARTS: Final[tuple[Part, ...]] = ("hard", "clip", "soft", "zinc", "steel", "rubbish")
"""What a bucket holds, by mass: the lead of clip-on weights (hard) and their steel clips apart,
stick-on weights (soft lead), zinc weights, steel weights, rubbish (valve stems, stickers, grit)."""

Alloy = Literal["hard", "soft", "mixed", "zinced"]
ALLOYS: Final[tuple[Alloy, ...]] = ("hard", "soft", "mixed", "zinced")

Good = Literal["weights", "lead", "clips", "zinc", "steel", "dross"]
GOODS: Final[tuple[Good, ...]] = ("weights", "lead", "clips", "zinc", "steel", "dross")
"""What the yard buys: mixed weights as they came, clean lead ingots, skimmed clips, sorted zinc,
sorted steel, dross."""

Channel = Literal["private", "bulk", "post"]
CHANNELS: Final[tuple[Channel, ...]] = ("private", "bulk", "post")


@dataclass(frozen=True)
class Horizon:
    """When and where: ``days`` days of 24 hours from ``start``, on the clock of a time zone.

    The clock is the one on the owner's wall, summer time included. Where it changes at night, the hour that is skipped
    or comes twice is left out of account.
    """

    start: date
    days: int
    latitude_deg: float
    """For the sun [deg, north positive]."""
    longitude_deg: float = 0.0
    """For the sun [deg, east positive]."""
    time_zone: str = "UTC"
    """A name of the IANA time zone database."""

    @property
    def hours(self) -> int:
        """Hours of the horizon."""
        return self.days * 24

    @cached_property
    def dates(self) -> tuple[date, ...]:
        """Date of each day."""
        return tuple(self.start + timedelta(days=i) for i in range(self.days))

    @cached_property
    def day_of_year(self) -> NDArray[np.int64]:
        """Day of the year (1..366) of each day."""
        return np.array([d.timetuple().tm_yday for d in self.dates], dtype=np.int64)

    @cached_property
    def month(self) -> NDArray[np.int64]:
        """Month (1..12) of each day."""
        return np.array([d.month for d in self.dates], dtype=np.int64)

    @cached_property
    def weekday(self) -> NDArray[np.int64]:
        """Weekday (0 Monday .. 6 Sunday) of each day."""
        return np.array([d.weekday() for d in self.dates], dtype=np.int64)

    @cached_property
    def summer_time_h(self) -> NDArray[np.int64]:
        """How far the clock is ahead of standard time on each day [whole h, to the nearest]."""
        standard = standard_h(self.time_zone, {day.year for day in self.dates})
        ahead_h = clock_ahead_h(self.time_zone, self.dates)
        return np.array(
            [round(h - standard[day.year]) for h, day in zip(ahead_h, self.dates, strict=True)],
            dtype=np.int64,
        )

    @cached_property
    def standard_hour(self) -> NDArray[np.int64]:
        """For each hour of the clock the hour of standard time that it is, counted from day 0; shape (hours,).

        On the day on which summer time begins an hour of the night is counted twice, on that on which it ends one is
        left out. Never below 0.
        """
        return np.maximum(np.arange(self.hours) - np.repeat(self.summer_time_h, 24), 0)

    @cached_property
    def sun_ahead_h(self) -> FloatArray:
        """How far the sun's own time is ahead of the clock on each day [h]."""
        return solar_ahead_h(self.longitude_deg, self.day_of_year, clock_ahead_h(self.time_zone, self.dates))

    def operational_h(self, monthly: Mapping[int, float], growth_a_year: float = 0.0) -> FloatArray:
        """Operational time at the start of each day and at the end [h], shape (days + 1,).

        Clock time is stretched by the season's factor (by month 1..12) and by growth, so that gaps drawn in
        operational time come closer together in a busy month; a season can then change without redrawing.
        """
        factor = np.array([monthly.get(m, 1.0) for m in range(1, 13)])[self.month - 1]
        if growth_a_year:
            factor = factor * (1.0 + growth_a_year) ** (np.arange(self.days) / 365.0)
        return np.concatenate(([0.0], np.cumsum(np.maximum(factor, 0.0) * 24.0)))


def clock_h(operational_h: FloatArray, at_h: FloatArray) -> FloatArray:
    """Clock time [h] at which operational time reaches ``at_h``; inf beyond the horizon."""
    days = operational_h.size - 1
    clock: FloatArray = np.interp(at_h, operational_h, np.arange(days + 1) * 24.0)
    return np.where(at_h > operational_h[-1], np.inf, clock)


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """One value an hour: the hour from ``i`` to ``i + 1`` of the clock. Shape (hours,) each.

    Temperature to half a degree and wind to a tenth of a metre a second, as weather files give them, so that a
    table of the heat balance can be shared by all hours that are alike.
    """

    temperature_c: FloatArray
    """Of the air [degC], -90 to 60."""
    wind_m_s: FloatArray
    """At a height of 10 m in the open [m/s], to 110."""
    rain_mm: FloatArray
    """Fallen in the hour [mm], to 400."""
    sun_w_m2: FloatArray
    """On level ground, of the sun and the sky [W/m2], to 2000."""
    note: str = ""
    """What was done to a file, for reports."""

    @staticmethod
    def rounded(
        temperature_c: FloatArray,
        wind_m_s: FloatArray,
        rain_mm: FloatArray,
        sun_w_m2: FloatArray,
        note: str = "",
    ) -> Weather:
        """The weather at the resolution that the heat balance reads: 0.5 degC, 0.1 m/s."""
        return Weather(
            np.round(np.asarray(temperature_c, float) * 2.0) / 2.0,
            np.round(np.maximum(np.asarray(wind_m_s, float), 0.0) * 10.0) / 10.0,
            np.maximum(np.asarray(rain_mm, float), 0.0),
            np.maximum(np.asarray(sun_w_m2, float), 0.0),
            note,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Rates:
    """What the yard pays [currency/kg] for each good, a value a day. Shape (days,) each."""

    per_kg: Mapping[Good, FloatArray]
    """Every one of GOODS."""
    note: str = ""
    """What the model found in its data, for the reader of `planner check`."""


@dataclass(frozen=True, slots=True, eq=False)
class Shop:
    """A place that hands out buckets, and every bucket it will ever fill while it gives.

    Bucket columns have shape (buckets,), ``shares`` (buckets, 6) in the order of PARTS, each row summing to 1.
    """

    name: str
    """No two shops of a supply have the same."""
    x_km: float
    """East of the owner [km]; west is negative."""
    y_km: float
    """North of the owner [km]; south is negative."""
    known: bool
    """Known from the start; if not, found after ``asking_h`` hours of asking around, if ``says_yes``."""
    asking_h: float
    """Hours of asking around, all together, after which it is found [h]."""
    says_yes: bool
    """Would it give buckets once it is found?"""
    misses_borne: int
    """Buckets that may go elsewhere before the shop stops giving."""
    price_creep_share: float
    """The asking price rises by this share with every bucket fetched."""
    open_hours: tuple[tuple[tuple[float, float], ...], ...]
    """Opening windows [h of day] for each weekday, Monday first."""
    ready_h: FloatArray
    """Clock time at which each bucket is full [h], in order."""
    gone_after_h: FloatArray
    """How long a full bucket waits before it goes elsewhere [h after ``ready_h``]."""
    mass_kg: FloatArray
    """Of all that is in each bucket [kg]."""
    shares: FloatArray
    """Of each of PARTS in the mass, shape (buckets, 6)."""
    price: FloatArray
    """Asked for the whole bucket [currency], before creep."""
    wet: BoolArray
    """Did it stand in the rain?"""
    missed_u: FloatArray
    """Uniform mark, 0 to 1: how badly this bucket would be sorted (0 best)."""
    owed: FloatArray | None = None
    """By contract: charged for each bucket that goes elsewhere unfetched [currency], wanted or not; 0 where it is not
    owed. None without a contract."""

    @property
    def bound(self) -> bool:
        """Is anything owed? A contract binds both: such a shop never stops giving."""
        return self.owed is not None and bool(self.owed.any())


@dataclass(frozen=True, slots=True, eq=False)
class Supply:
    """All shops of one supply model, in a stable order."""

    name: str
    shops: tuple[Shop, ...]
    note: str = ""
    """What was left out or made up, for whoever checks the scenario."""


@dataclass(frozen=True, slots=True)
class Bill:
    """Something that is paid on a date, whatever the owner does: when [h], its name in the ledger, how much."""

    t_h: float
    what: str
    amount: float


@dataclass(frozen=True, slots=True, eq=False)
class Crowd:
    """One class of buyers: people with needs that come back.

    Rows are people: the first ``known`` know of the business at the start, the others come by word of mouth, in
    order, or by themselves from ``knows_from_h`` on, whichever is first. Columns are their needs in sequence: the next
    need falls due ``gap_h`` (operational time) after the last one ended. Arrays have shape (people, needs) unless said
    otherwise.
    """

    name: str
    channel: Channel
    known: int
    """How many of the people, from the first, know of the business at the start."""
    operational_h: FloatArray
    """Operational time at each day's start and at the end [h], never falling, shape (days + 1,)."""
    gap_h: FloatArray
    """From the end of the last need, or the start, to this one [h of operational time]."""
    size_kg: FloatArray
    """Lead wanted [kg]."""
    most_per_kg: Mapping[Alloy, FloatArray]
    """The most they would pay [currency/kg] for each alloy they take."""
    patience_h: FloatArray
    """How long they wait for what is not in stock [h]."""
    shows_up: BoolArray
    """Do they come when all is agreed?"""
    brings_friend: BoolArray
    """A need that was served well brings the next person of the crowd."""
    returns_at_share: FloatArray
    """Shape (people,): comes back if at least this share of what they wanted was served."""
    misses_borne: NDArray[np.int64]
    """Shape (people,): needs in a row that may go unserved before they stay away."""
    tin_kg: FloatArray
    """Tin wanted beside the lead [kg]."""
    tin_most_per_kg: float
    """The most they would pay for it [currency/kg]."""
    sale_h: float
    """The owner's time for one sale: messages, waiting, weighing [h]."""
    message_h: float
    """The owner's time for an enquiry that comes to nothing [h]."""
    trip_km: float
    """Driven for each sale, there and back [km]; 0 when they come to the owner."""
    parcel_kg: float
    """Sold in whole parcels of this mass; 0 when weighed out."""
    parcel_fee: float
    """Paid for each parcel [currency]."""
    least_kg: float
    """Smallest amount they would take [kg]."""
    parcel_h: float = 0.0
    """The owner's time to pack and hand in each parcel, beside that of the sale [h]."""
    knows_from_h: FloatArray | None = None
    """Shape (people,): when a person comes to know of the business by an advert or a sign, not a friend [h]; beyond the
    horizon for never. Left out: all who do not know of it come by word of mouth alone."""
    bills: tuple[Bill, ...] = ()
    """What is paid for these buyers on dates, such as adverts."""

    def packing_h(self, mass_kg: float) -> float:
        """The owner's time to pack so much [h]; 0 where nothing goes in parcels."""
        return mass_kg / self.parcel_kg * self.parcel_h if self.parcel_kg > 0 else 0.0


class PriceView(NamedTuple):
    """What the owner knows when a price is asked for. Masses kg, prices currency/kg."""

    t_h: float
    """Now [h since midnight of day 0]."""
    stock_kg: Mapping[Alloy, float]
    """Ingots in stock and not promised, by alloy; read-only, and empty before any run (``planner check``)."""
    yard_per_kg: float
    """What the yard pays for clean lead today."""
    sold_30_days_kg: float
    """Sold to buyers in the last 30 days, all alloys together."""
    oldest_days: float
    """Age of the oldest ingots of the alloy asked for [days]; 0 without stock."""
    today: date = date(2026, 1, 1)
    """The day of ``t_h``. A view made by hand is of the first day of a calendar that says nothing."""
    days_left: float = 365.0
    """From ``t_h`` to the end of what is played [days]."""
    yard_zinced_per_kg: float = 0.0
    """What the yard pays today for lead spoiled by zinc: as for mixed weights."""


class Pricing(Protocol):
    """Quotes a price. No randomness, no state: the same view gives the same price, whoever asked before."""

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked for ingots: during a run each time a buyer asks, so it should take microseconds.

        Parameters
        ----------
        view : PriceView
            What the owner knows just now.
        alloy : str
            One of ALLOYS.
        mass_kg : float
            What is asked for [kg].
        channel : str
            One of CHANNELS.

        Returns
        -------
        float
            Price [currency/kg], from 0 up, finite.
        """
        ...

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg], from 0 up, finite: each time a buyer asks for tin beside the lead."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Finds:
    """Second-hand pewter that turns up. Shape (finds,) each."""

    t_h: FloatArray
    mass_kg: FloatArray
    tin_share: FloatArray
    price: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Uniform marks that belong to the calendar day, whatever the owner does. Shape (days,) each."""

    overheated: FloatArray
    helper_absent: FloatArray
    downgraded: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """Everything that happens to the business by itself, over the whole horizon."""

    horizon: Horizon
    weather: Weather
    rates: Rates
    supplies: tuple[Supply, ...]
    crowds: tuple[Crowd, ...]
    finds: Finds
    marks: Marks
    sunrise_h: FloatArray
    sunset_h: FloatArray
    scratch: dict[Any, Any] = field(default_factory=dict, repr=False)
    """Look-ups derived from this world by whoever plays it (plain lists, for speed); holds no state of a run."""
