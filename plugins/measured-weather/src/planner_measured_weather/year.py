"""Measured years put in order: every hour filled, in our units, with what was done to it said.

In: rows as a reader found them, each with its month, day and hour, and where it matters its year. Out: a frozen
``Measured`` of 8,760 hours, or of several years of them. Must not know: files, file formats, chance.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.world.parts import BoolArray, FloatArray, Weather

IntArray = NDArray[np.int64]
RainUnit = Literal["auto", "mm", "tenths"]

DAYS: Final = 365
HOURS: Final = DAYS * 24

PLAUSIBLE: Final[dict[str, tuple[float, float]]] = {
    "temperature": (-70.0, 70.0),
    "wind": (0.0, 40.0),
    "sun": (0.0, 1500.0),
    "rain": (0.0, 305.0),
}
"""Readings outside count as missing: temperature [degC] and wind [m/s] as in the EPW data dictionary (EnergyPlus,
Auxiliary Programs, N6 and N21); sun [W/m2] above what reaches the ground even between bright clouds (assumed);
rain [mm/h] above the most ever measured in an hour (from memory)."""

PLAUSIBLE_RAIN_A_YEAR_MM: Final = (300.0, 2500.0)
"""A year's rain where people live; deserts and rain forests lie outside (assumed)."""

MOST_MISSING_SHARE: Final = 0.10
"""A file with more hours missing than this is refused: it would mostly be guessed (assumed)."""

REFERENCE_HEIGHT_M: Final = 10.0
"""Height for which the planner takes the wind to be given: that of weather stations (WMO-No. 8; from memory)."""

HEIGHT_EXPONENT: Final = 1.0 / 7.0
"""Wind grows with height to this power over open land (common practice)."""

_MONTH_STARTS: Final = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What a reader found, a row an hour; columns have one shape (rows,), NaN where the file says missing."""

    source: str
    """The file's name, for messages."""
    month: IntArray
    day: IntArray
    hour_ending: IntArray
    """1..24: the hour that ends at this full hour; the reading belongs to the hour before it."""
    temperature_c: FloatArray
    wind_m_s: FloatArray
    sun_w_m2: FloatArray
    rain: FloatArray
    """In the file's own unit, whatever that is."""
    rain_period_h: FloatArray
    """Hours over which ``rain`` fell; NaN where the file does not say."""


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Years of 8,760 hours, local standard time, hour ``i`` from ``i`` to ``i + 1``; leap days lie behind them.

    A typical year belongs to no year in particular and begins on 1 January; years as they were begin on any day.
    """

    temperature_c: FloatArray
    wind_m_s: FloatArray
    rain_mm: FloatArray
    sun_w_m2: FloatArray
    notes: tuple[str, ...]
    first: date | None = None
    leap_days: tuple[date, ...] = ()
    """Each 29 February that was measured; its hours lie behind those of the years, in this order."""

    def weather(self) -> Weather:
        """All hours at the world's resolution (0.5 degC, 0.1 m/s)."""
        return Weather.rounded(
            self.temperature_c, self.wind_m_s, self.rain_mm, self.sun_w_m2, note=" ".join(self.notes)
        )


def day_of_year(month: IntArray, day: IntArray) -> IntArray:
    """Day 0..364 of a year without leap day; 29 February is counted with the 28th."""
    leap_day = (month == 2) & (day == 29)
    found: IntArray = _MONTH_STARTS[month - 1] + np.where(leap_day, 28, day) - 1
    return found


class Places(NamedTuple):
    """Where rows belong: which of them are used, the hour of each, and what these hours are."""

    kept: BoolArray
    slots: IntArray
    """Hour of each row that is used; hours of leap days are counted behind the years."""
    years: int = 1
    first: date | None = None
    leap_days: tuple[date, ...] = ()
    before_leap: tuple[int, ...] = ()
    """Number of the day before each leap day."""
    note: str = ""


def assemble(
    rows: Rows,
    rain_unit: RainUnit = "auto",
    wind_height_m: float = REFERENCE_HEIGHT_M,
    year: IntArray | None = None,
) -> Measured:
    """Put rows into their hours, drop what cannot be true, fill the gaps, and say so.

    Parameters
    ----------
    rows : Rows
        Hours in any order. Without ``year`` they are those of one typical year, whatever years they come from, and
        29 February is left out.
    rain_unit : {"auto", "mm", "tenths"}
        Unit of ``rows.rain``. "auto" judges by the year's total; see :func:`rain_factor`.
    wind_height_m : float
        Height at which the wind was measured [m]; brought to 10 m.
    year : IntArray, optional
        The year of each row: hours are then put in order of date, each once, whole years from the first day on.

    Returns
    -------
    Measured
        Every hour present.

    Raises
    ------
    ValueError
        One sentence, when hours are given twice or too many are missing.
    """
    places = _slots(rows) if year is None else _in_order(rows, year)
    notes = [f"{rows.source}: {places.note}"] if places.note else []
    hours = (places.years * DAYS + len(places.leap_days)) * 24

    def column(values: FloatArray) -> FloatArray:
        placed = np.full(hours, np.nan)
        placed[places.slots] = np.asarray(values, dtype=np.float64)[places.kept]
        return placed

    def whole(what: str, values: FloatArray) -> FloatArray:
        return _whole(what, column(values), places, rows.source, notes)

    temperature, wind = whole("temperature", rows.temperature_c), whole("wind", rows.wind_m_s)
    sun = whole("sun", rows.sun_w_m2)
    depth, period_h = column(rows.rain), column(rows.rain_period_h)
    rain = _rain_mm(depth, period_h, places.years, rain_unit, rows.source, notes)
    if wind_height_m != REFERENCE_HEIGHT_M:
        wind = wind * (REFERENCE_HEIGHT_M / wind_height_m) ** HEIGHT_EXPONENT
        notes.append(
            f"{rows.source}: wind brought from {wind_height_m:g} m to {REFERENCE_HEIGHT_M:g} m above ground."
        )
    for values in (temperature, wind, sun, rain):
        values.setflags(write=False)
    return Measured(temperature, wind, rain, sun, tuple(notes), places.first, places.leap_days)


def _slots(rows: Rows) -> Places:
    """Rows of one typical year."""
    hour = rows.hour_ending
    if not (
        np.isin(rows.month, np.arange(1, 13))
        & (rows.day >= 1)
        & (rows.day <= 31)
        & (hour >= 1)
        & (hour <= 24)
    ).all():
        raise ValueError(f"{rows.source}: a row has no such month, day or hour; hours run from 1 to 24.")
    kept = ~((rows.month == 2) & (rows.day == 29))
    slots = day_of_year(rows.month, rows.day)[kept] * 24 + hour[kept] - 1
    if np.unique(slots).size != slots.size:
        raise ValueError(
            f"{rows.source}: {slots.size:,} rows hold some hours more than once; one year with a row an hour is needed."
        )
    return Places(kept, slots)


def _in_order(rows: Rows, year: IntArray) -> Places:
    """Rows of whole years of 365 days, from the first whole day on; what is left over at the end is no whole year."""
    month = ((year - 1970) * 12 + rows.month - 1).astype("datetime64[M]")
    day = month.astype("datetime64[D]").astype(np.int64) + rows.day - 1
    first = int(day.min())
    if (day == first).sum() < 24 or _is_leap_day(_date(first)):
        first += 1
    dates = [_date(number) for number in range(first, int(day.max()) + 1)]
    leap = np.array([_is_leap_day(one) for one in dates], dtype=np.bool_)
    ordinary = np.cumsum(~leap) - 1
    years = int((~leap).sum() / DAYS + MOST_MISSING_SHARE)
    if years == 0:
        raise ValueError(
            f"{rows.source}: its hours run from {_date(int(day.min()))} to {_date(int(day.max()))}; at least one whole "
            "year is needed."
        )
    used = ordinary < years * DAYS
    leaps = np.flatnonzero(leap & used)
    number = np.where(leap, years * DAYS + np.cumsum(leap) - 1, ordinary)
    kept = day >= first
    kept[kept] = used[day[kept] - first]
    note, left_out = "", int((~kept).sum())
    if left_out:
        last = dates[int(used.sum()) - 1]
        note = f"{left_out:,} hours before {dates[0]} or after {last} are left out: whole years count."
    return Places(
        kept=kept,
        slots=number[day[kept] - first] * 24 + rows.hour_ending[kept] - 1,
        years=years,
        first=dates[0],
        leap_days=tuple(dates[one] for one in leaps),
        before_leap=tuple(int(ordinary[one]) for one in leaps),
        note=note,
    )


def _date(number: int) -> date:
    return date(1970, 1, 1) + timedelta(days=number)


def _is_leap_day(day: date) -> bool:
    return day.month == 2 and day.day == 29


def _whole(what: str, values: FloatArray, places: Places, source: str, notes: list[str]) -> FloatArray:
    """The column without gaps: a missing hour is that of the nearest day that has it, the earlier of two."""
    low, high = PLAUSIBLE[what]
    values = np.where((values >= low) & (values <= high), values, np.nan)
    missing = int(np.isnan(values).sum())
    if missing == 0:
        return values
    days, leap_days = np.split(values.reshape(-1, 24), [places.years * DAYS])
    worst = int(np.isnan(days).reshape(places.years, HOURS).sum(axis=1).max())
    if worst > MOST_MISSING_SHARE * HOURS:
        of_which = "" if places.years == 1 else " of one of its years"
        raise ValueError(
            f"{source}: {what} is missing or impossible in {worst:,} of {HOURS:,} hours{of_which}; a whole year is "
            f"needed with at most {MOST_MISSING_SHARE:.0%} missing. Take another file, or another station."
        )
    filled = np.stack([_from_nearest_day(days[:, hour], what, source) for hour in range(24)], axis=1)
    leap_days = np.where(np.isnan(leap_days), filled[list(places.before_leap)], leap_days)
    hours = "1 hour" if missing == 1 else f"{missing:,} hours"
    notes.append(
        f"{source}: {what} missing or impossible in {hours}; taken from the same hour of the nearest day."
    )
    return np.concatenate((filled, leap_days)).ravel()


def _from_nearest_day(values: FloatArray, what: str, source: str) -> FloatArray:
    """One hour of the day over the years, gaps filled around the turn from the last to the first day too."""
    missing = np.flatnonzero(np.isnan(values))
    present = np.flatnonzero(~np.isnan(values))
    if present.size == 0:
        raise ValueError(f"{source}: {what} is never given for one hour of the day; take another file.")
    apart = np.abs(missing[:, None] - present[None, :])
    nearest = present[np.minimum(apart, values.size - apart).argmin(axis=1)] if missing.size else missing
    filled = values.copy()
    filled[missing] = values[nearest]
    return filled


def _rain_mm(
    depth: FloatArray, period_h: FloatArray, years: int, unit: RainUnit, source: str, notes: list[str]
) -> FloatArray:
    """Rain in each hour [mm]; an hour without a reading of its own counts as dry."""
    longer = period_h > 1
    depth = np.where((depth >= 0) & ~longer, depth, np.nan)
    measured = int((~np.isnan(depth)).sum())
    factor, said = rain_factor(float(np.nansum(depth)) / years, unit)
    if said:
        notes.append(f"{source}: {said}")
    rain = depth * factor
    rain = np.where(rain <= PLAUSIBLE["rain"][1], rain, 0.0)
    if measured < depth.size:
        notes.append(
            f"{source}: rain was read hour by hour in {measured:,} of {depth.size:,} hours; the others count as dry."
        )
    return rain


def rain_factor(total: float, unit: RainUnit) -> tuple[float, str]:
    """Millimetres in one unit of the rain column, and what to tell the user ("" for nothing).

    Parameters
    ----------
    total : float
        Sum of the year's hourly readings, in the column's unit.
    unit : {"auto", "mm", "tenths"}
        What the user says the unit is. With "auto" it is millimetres, as the header says, unless only tenths of
        a millimetre give a year's total within 300 to 2,500 mm.

    Returns
    -------
    factor : float
        1 or 0.1 [mm].
    note : str
        One or two sentences.
    """
    if unit != "auto":
        return (1.0, "") if unit == "mm" else (0.1, "")
    low, high = PLAUSIBLE_RAIN_A_YEAR_MM
    if low <= total <= high:
        return 1.0, ""
    if low <= total / 10.0 <= high:
        return 0.1, (
            f"the rain column adds up to {total:,.0f}, too much for millimetres (a year has {low:,.0f} to "
            f"{high:,.0f} mm); taken as tenths: {total / 10:,.0f} mm. If millimetres are right, say `rain: mm`."
        )
    return 1.0, (
        f"the rain column adds up to {total:,.0f} mm, outside {low:,.0f} to {high:,.0f} mm a year; taken as it stands."
    )
