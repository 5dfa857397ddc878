"""One measured year put in order: every hour filled, in our units, with what was done to it said.

In: rows as a reader found them, each with its month, day and hour. Out: a frozen ``MeasuredYear`` of 8,760 hours.
Must not know: files, file formats, chance.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

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
class MeasuredYear:
    """8,760 hours from 1 January, local standard time, hour ``i`` from ``i`` to ``i + 1``; no leap day."""

    temperature_c: FloatArray
    wind_m_s: FloatArray
    rain_mm: FloatArray
    sun_w_m2: FloatArray
    notes: tuple[str, ...]

    def weather(self) -> Weather:
        """The year at the world's resolution (0.5 degC, 0.1 m/s)."""
        return Weather.rounded(
            self.temperature_c, self.wind_m_s, self.rain_mm, self.sun_w_m2, note=" ".join(self.notes)
        )


def day_of_year(month: IntArray, day: IntArray) -> IntArray:
    """Day 0..364 of a year without leap day; 29 February is counted with the 28th."""
    leap_day = (month == 2) & (day == 29)
    found: IntArray = _MONTH_STARTS[month - 1] + np.where(leap_day, 28, day) - 1
    return found


def assemble(
    rows: Rows, rain_unit: RainUnit = "auto", wind_height_m: float = REFERENCE_HEIGHT_M
) -> MeasuredYear:
    """Put rows into their hours, drop what cannot be true, fill the gaps, and say so.

    Parameters
    ----------
    rows : Rows
        Hours in any order and of any years; 29 February is left out.
    rain_unit : {"auto", "mm", "tenths"}
        Unit of ``rows.rain``. "auto" judges by the year's total; see :func:`rain_factor`.
    wind_height_m : float
        Height at which the wind was measured [m]; brought to 10 m.

    Returns
    -------
    MeasuredYear
        Every hour present.

    Raises
    ------
    ValueError
        One sentence, when hours are given twice or too many are missing.
    """
    kept, slots = _slots(rows)
    notes: list[str] = []

    def column(values: FloatArray) -> FloatArray:
        placed = np.full(HOURS, np.nan)
        placed[slots] = np.asarray(values, dtype=np.float64)[kept]
        return placed

    temperature = _whole("temperature", column(rows.temperature_c), rows.source, notes)
    wind = _whole("wind", column(rows.wind_m_s), rows.source, notes)
    sun = _whole("sun", column(rows.sun_w_m2), rows.source, notes)
    rain = _rain_mm(column(rows.rain), column(rows.rain_period_h), rain_unit, rows.source, notes)
    if wind_height_m != REFERENCE_HEIGHT_M:
        wind = wind * (REFERENCE_HEIGHT_M / wind_height_m) ** HEIGHT_EXPONENT
        notes.append(
            f"{rows.source}: wind brought from {wind_height_m:g} m to {REFERENCE_HEIGHT_M:g} m above ground."
        )
    for values in (temperature, wind, sun, rain):
        values.setflags(write=False)
    return MeasuredYear(temperature, wind, rain, sun, tuple(notes))


def _slots(rows: Rows) -> tuple[BoolArray, IntArray]:
    """Which rows are used, and the hour of the year of each."""
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
    return kept, slots


def _whole(what: str, values: FloatArray, source: str, notes: list[str]) -> FloatArray:
    """The column without gaps: a missing hour is that of the nearest day that has it, the earlier of two."""
    low, high = PLAUSIBLE[what]
    values = np.where((values >= low) & (values <= high), values, np.nan)
    missing = int(np.isnan(values).sum())
    if missing == 0:
        return values
    if missing > MOST_MISSING_SHARE * HOURS:
        raise ValueError(
            f"{source}: {what} is missing or impossible in {missing:,} of {HOURS:,} hours; a whole year is needed "
            f"with at most {MOST_MISSING_SHARE:.0%} missing. Take another file, or another station."
        )
    days = values.reshape(DAYS, 24)
    filled = np.stack([_from_nearest_day(days[:, hour], what, source) for hour in range(24)], axis=1)
    hours = "1 hour" if missing == 1 else f"{missing:,} hours"
    notes.append(
        f"{source}: {what} missing or impossible in {hours}; taken from the same hour of the nearest day."
    )
    return filled.ravel()


def _from_nearest_day(values: FloatArray, what: str, source: str) -> FloatArray:
    """One hour of the day over the year, gaps filled around the turn of the year too."""
    missing = np.flatnonzero(np.isnan(values))
    present = np.flatnonzero(~np.isnan(values))
    if present.size == 0:
        raise ValueError(f"{source}: {what} is never given for one hour of the day; take another file.")
    apart = np.abs(missing[:, None] - present[None, :])
    nearest = present[np.minimum(apart, DAYS - apart).argmin(axis=1)] if missing.size else missing
    filled = values.copy()
    filled[missing] = values[nearest]
    return filled


def _rain_mm(
    depth: FloatArray, period_h: FloatArray, unit: RainUnit, source: str, notes: list[str]
) -> FloatArray:
    """Rain in each hour [mm]; an hour without a reading of its own counts as dry."""
    longer = period_h > 1
    depth = np.where((depth >= 0) & ~longer, depth, np.nan)
    measured = int((~np.isnan(depth)).sum())
    factor, said = rain_factor(float(np.nansum(depth)), unit)
    if said:
        notes.append(f"{source}: {said}")
    rain = depth * factor
    rain = np.where(rain <= PLAUSIBLE["rain"][1], rain, 0.0)
    if measured < HOURS:
        notes.append(
            f"{source}: rain was read hour by hour in {measured:,} of {HOURS:,} hours; the others count as dry."
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
