"""One world looked at closely: each day of it, and one lot's way from the shop to its buyers and the yard.

In: a run, the weather it met, its first day. Out: ``Picture``, plain rows. Must not know: other runs, how it is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import floor
from typing import Any, Final, Literal, NamedTuple

import numpy as np

from planner.study.intervals import FloatArray
from planner.workshop.result import OPENING, LotRow, MeltRow, Run, SaleRow, YardRow
from planner.world.parts import Weather

DayState = Literal["melted", "broken off", "weather", "dark", "held back", "busy", "not free"]
STATES: Final[dict[DayState, str]] = {
    "melted": "melted",
    "broken off": "a melt was broken off",
    "weather": "free, but the weather forbade it",
    "dark": "free, but too dark",
    "held back": "free, held back by something else",
    "busy": "free hours used for something else",
    "not free": "no free hours",
}
"""What became of a day, in words."""

AT_THE_POT: Final = ("setting up", "melting", "cleaning up")
LEAST_KG: Final = 1e-3
"""Less than this is not left over."""
DAYTIME_H: Final = (8, 20)
"""Hours of the day that the weather of a day is told for."""


class DayRow(NamedTuple):
    """One row a day. Weather from 8 to 20 o'clock: mean temperature and wind at 10 m, sum of rain."""

    day: str
    state: DayState
    limit: str
    """What held most of the free hours back that were not used; empty if none were left."""
    free_h: float
    pot_h: float
    poured_kg: float
    air_c: float
    wind_m_s: float
    rain_mm: float


class Stage(NamedTuple):
    """One row a stage of a lot's way. Times as ``2026-03-14T17:30``."""

    what: Literal["fetched", "waits", "melted", "in stock", "sold", "to the yard", "left over"]
    start: str
    end: str
    hours_h: float
    mass_kg: float
    """Of this lot; what is cast of it once it was melted."""
    money: float
    """In (above zero) or out."""
    who: str = ""
    """The shop it came from, or the class of buyers."""
    alloy: str = ""
    """Of ingots; weights that were not melted have none."""
    charged_kg: float = 0.0
    """Melted: weights of this lot in the pot."""
    price_per_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Picture:
    """One option in one world.

    Parameters
    ----------
    option : str
        What was played.
    replicate : int
        Number of the world.
    days : tuple of DayRow
        Every day.
    lot : int
        The lot that is followed; 0 if no lot's ingots reached a buyer.
    way : tuple of Stage
        Its stages in time order.
    """

    option: str
    replicate: int
    days: tuple[DayRow, ...]
    lot: int
    way: tuple[Stage, ...]


def picture(run: Run, weather: Weather, start: date, option: str, replicate: int) -> Picture:
    """Look at one run closely."""
    lot = _lot_to_follow(run)
    return Picture(
        option,
        replicate,
        tuple(_days(run, weather, start)),
        lot.lot if lot else 0,
        tuple(_way(run, lot, start)) if lot else (),
    )


def typical_replicate(values: FloatArray) -> int | None:
    """The world whose value is the middle one; None where no run has a value."""
    played = np.flatnonzero(~np.isnan(values))
    if not played.size:
        return None
    return int(played[np.argsort(values[played], kind="stable")[(played.size - 1) // 2]])


def _days(run: Run, weather: Weather, start: date) -> Iterator[DayRow]:
    days = run.days
    spent, pot, poured = np.zeros(days), np.zeros(days), np.zeros(days)
    lost: list[dict[str, float]] = [{} for _ in range(days)]
    broken = set[int]()
    for row in run.hours:
        if row.who == "owner":
            at = _day(row.t_h, days)
            spent[at] += row.end_h - row.t_h
            pot[at] += row.end_h - row.t_h if row.what in AT_THE_POT else 0.0
    for melt in run.melts:
        poured[_day(melt.t_h, days)] += melt.poured_kg
        if melt.lit and melt.cause:
            broken.add(_day(melt.t_h, days))
    for one in run.limits:
        here = lost[_day(one.t_h, days)]
        here[one.limit] = here.get(one.limit, 0.0) + one.hours
    air, wind, rain = (
        column.reshape(days, 24)[:, slice(*DAYTIME_H)]
        for column in (weather.temperature_c, weather.wind_m_s, weather.rain_mm)
    )
    for i in range(days):
        limit = max(lost[i], key=lambda name: lost[i][name], default="")
        free = float(spent[i]) + sum(lost[i].values())
        yield DayRow(
            (start + timedelta(days=i)).isoformat(),
            _state(poured[i], i in broken, limit, free),
            limit,
            free,
            float(pot[i]),
            float(poured[i]),
            float(air[i].mean()),
            float(wind[i].mean()),
            float(rain[i].sum()),
        )


def _state(poured_kg: float, broken: bool, limit: str, free_h: float) -> DayState:
    if broken:
        return "broken off"
    if poured_kg > 0.0:
        return "melted"
    if limit in ("weather", "daylight"):
        return "weather" if limit == "weather" else "dark"
    if limit:
        return "held back"
    return "busy" if free_h > 0.0 else "not free"


def _day(t_h: float, days: int) -> int:
    return min(floor(t_h / 24.0 + 1e-9), days - 1)


def _lot_to_follow(run: Run) -> LotRow | None:
    """A bucket some of whose metal reached a buyer: of all of these the middle one, neither the first nor the last."""
    sold = {melt for sale in run.sales for melt, _ in sale.melts}
    melted = {lot for melt in run.melts if melt.melt in sold and melt.poured_kg > 0.0 for lot, _ in melt.lots}
    found = [lot for lot in run.lots if lot.lot in melted and lot.source != OPENING]
    return found[(len(found) - 1) // 2] if found else None


def _way(run: Run, lot: LotRow, start: date) -> Iterable[Stage]:
    """Stages of one lot. Ingots of a melt belong to its lots by the mass that each had in it."""

    def stage(
        what: Any, from_h: float, to_h: float, mass_kg: float, money: float = 0.0, **more: Any
    ) -> Stage:
        begin = datetime(start.year, start.month, start.day)
        ends = [begin + timedelta(minutes=round(t_h * 60.0)) for t_h in (from_h, to_h)]
        told = [end.isoformat(timespec="minutes") for end in ends]
        return Stage(what, told[0], told[1], to_h - from_h, mass_kg, money, **more)

    end_h = run.days * 24.0
    melts = [(melt, share) for melt in run.melts if (share := _share_of(lot.lot, melt)) > 0.0]
    untouched = [row for row in run.yard if row.lot == lot.lot]
    left = _not_melted(run, lot)
    gone = [*(melt.t_h for melt, _ in melts), *(row.t_h for row in untouched)]
    stages = [
        stage("fetched", lot.t_h, lot.t_h, lot.mass_kg, -lot.cost, who=lot.source),
        stage("waits", lot.t_h, end_h if left > LEAST_KG else max(gone, default=end_h), lot.mass_kg),
    ]
    stages += [_to_the_yard(stage, row, row.mass_kg, "") for row in untouched]
    if left > LEAST_KG:
        stages.append(stage("left over", end_h, end_h, left))
    for melt, share in melts:
        made, charged, alloy = melt.poured_kg * share, _charged(lot.lot, melt), melt.alloy
        stages.append(stage("melted", melt.t_h, melt.end_h, made, alloy=alloy, charged_kg=charged))
        sold = [(sale, kg * share) for sale in run.sales if (kg := _of(melt, sale)) > 0.0]
        yard = [(row, row.mass_kg * share) for row in run.yard if row.melt == melt.melt]
        left = made - sum(kg for _, kg in sold) - sum(kg for _, kg in yard)
        gone = [*(sale.t_h for sale, _ in sold), *(row.t_h for row, _ in yard)]
        if made > 0.0:
            until = end_h if left > LEAST_KG else max(gone, default=end_h)
            stages.append(stage("in stock", melt.end_h, until, made, alloy=alloy))
        for sale, kg in sold:
            price = sale.price_per_kg
            stages.append(
                stage(
                    "sold",
                    sale.t_h,
                    sale.t_h,
                    kg,
                    kg * price,
                    who=sale.buyers,
                    alloy=alloy,
                    price_per_kg=price,
                )
            )
        stages += [_to_the_yard(stage, row, kg, alloy) for row, kg in yard]
        if left > LEAST_KG:
            stages.append(stage("left over", end_h, end_h, left, alloy=alloy))
    return sorted(stages, key=lambda one: one.start)


def _to_the_yard(stage: Callable[..., Stage], row: YardRow, mass_kg: float, alloy: str) -> Stage:
    price = row.price_per_kg
    return stage("to the yard", row.t_h, row.t_h, mass_kg, mass_kg * price, alloy=alloy, price_per_kg=price)


def _not_melted(run: Run, lot: LotRow) -> float:
    """Weights of a lot that are still there at the end [kg]."""
    melted = sum(_charged(lot.lot, melt) for melt in run.melts)
    sorted_out = sum(
        row.zinc_out_kg + row.steel_out_kg + row.rubbish_out_kg for row in run.sorts if row.lot == lot.lot
    )
    untouched = sum(row.mass_kg for row in run.yard if row.lot == lot.lot)
    return lot.mass_kg - melted - sorted_out - untouched


def _charged(lot: int, melt: MeltRow) -> float:
    return sum(mass for number, mass in melt.lots if number == lot)


def _share_of(lot: int, melt: MeltRow) -> float:
    return _charged(lot, melt) / melt.charged_kg if melt.charged_kg > 0.0 else 0.0


def _of(melt: MeltRow, sale: SaleRow) -> float:
    return sum(mass for number, mass in sale.melts if number == melt.melt)
