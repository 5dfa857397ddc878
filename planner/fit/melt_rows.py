"""Melts of a notebook, made ready to be played: what lay in the pot, in which weather, by how many hands.

In: records, what is usual. Out: ``KnownMelt`` for each melt that tells something, and what was left out. Must not know:
the heat balance, what is estimated.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from math import isfinite, nan
from typing import Any, Final

from planner.fit.usual import Usual
from planner.records.records import LINE, Records
from planner.scenario.business import Business
from planner.scenario.clock import DAYS

PACKED_H: Final = 0.1
"""Longer than this between the end of a melt and the next lighting, and it was packed away in between (assumed)."""
LEAST_OF_USUAL: Final = 0.5
"""Fewer ingots than this share of what such weights usually give: some of it stayed in the pot (assumed)."""
MOST_LEAD_SHARE: Final = 0.98
"""More lead than this of the weights: some of it was in the pot before (assumed; clips alone are more)."""


@dataclass(frozen=True, slots=True)
class KnownMelt:
    """One melt as it was written down, with what is usual for what was not. Masses kg over all pots, times h.

    Parameters
    ----------
    line : int
        Of its row.
    lit_h : float
        When it was lit, from midnight before the first day of the notebook.
    weights_kg, ingots_kg, dross_kg, skimmed_kg, fuel_kg, hours_h : float
        As written down; nan where not.
    packed : bool
        Do its hours reach until everything is packed away, and not to the next lighting?
    cooled_h : float
        How long the heel had been left; 0 where it follows another melt.
    heel_before_kg, heel_kg : float
        Lead in one pot before and after.
    air_c, wind_m_s : float
        As written down, or what is usual.
    hands : float
        Pace of handling over that of one person.
    free_h : float
        How long the owner was free from lighting on; no less than what it took.
    """

    line: int
    lit_h: float
    weights_kg: float
    ingots_kg: float
    dross_kg: float
    skimmed_kg: float
    fuel_kg: float
    hours_h: float
    packed: bool
    cooled_h: float
    heel_before_kg: float
    heel_kg: float
    air_c: float
    wind_m_s: float
    hands: float
    free_h: float


@dataclass(slots=True)
class Told:
    """Melts that tell something.

    Parameters
    ----------
    melts : list of KnownMelt
        In order.
    notes : list of str
        What was left out, and what was taken for usual, in words.
    winds : int
        How many have the wind of their day.
    """

    melts: list[KnownMelt] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    winds: int = 0


@dataclass(frozen=True, slots=True)
class _Row:
    """A row with its time."""

    values: dict[str, Any]
    day: date
    lit_h: float
    since_h: float
    """When it was lit, from midnight before the first day."""
    timed: bool

    @property
    def end_h(self) -> float:
        return self.since_h + float(self.values["hours_h"])


def told_by(records: Records, business: Business, usual: Usual) -> Told:
    """Read the table of melts.

    Parameters
    ----------
    records : Records
        The notebook.
    business : Business
        The business as it is today.
    usual : Usual
        For what the notebook does not say.
    """
    rows = _rows(records, business, usual)
    told, left_out, missing = Told(), Counter[str](), Counter[str]()
    for number, row in enumerate(rows):
        before = rows[number - 1] if number else None
        after = rows[number + 1] if number + 1 < len(rows) else None
        why = _useless(row, before, business, usual)
        if why:
            left_out[why] += 1
            continue
        found = _known(row, before, after, business, usual)
        told.winds += isfinite(row.values["wind_m_s"])
        for what, absent in (
            ("wind", not isfinite(row.values["wind_m_s"])),
            ("air", not isfinite(row.values["air_c"])),
            ("time lit", not row.timed),
        ):
            missing[what] += absent
        told.melts.append(found)
    told.notes += [f"left out: {n} {_melts(n)} {why}" for why, n in left_out.items()]
    told.notes += [
        f"{what} not written down for {n} of {len(told.melts)} melts: taken as usual for the day"
        for what, n in missing.items()
        if n
    ]
    return told


def _melts(number: int) -> str:
    return "melt" if number == 1 else "melts"


def _rows(records: Records, business: Business, usual: Usual) -> list[_Row]:
    """Rows in the order in which they were lit; of a day without times, in that of the notebook."""
    frame = records["melts"]
    frame = frame[frame["date"].notna()].sort_values("date", kind="stable")
    found: list[_Row] = []
    first: date | None = None
    for values in frame.to_dict("records"):
        day = values["date"].date()
        first = day if first is None else first
        midnight_h = 24.0 * (day - first).days
        timed = isfinite(values["lit_at_h"])
        if timed:
            lit_h = float(values["lit_at_h"])
        else:
            lit_h = usual.begins_h(day) + business.melting.set_up_min / 60.0
            before = found[-1] if found and found[-1].day == day else None
            if before is not None and isfinite(before.end_h):
                lit_h = max(lit_h, before.end_h - midnight_h)
        found.append(_Row(values, day, lit_h, midnight_h + lit_h, timed))
    return sorted(found, key=lambda row: row.since_h)


def _useless(row: _Row, before: _Row | None, business: Business, usual: Usual) -> str:
    """Why a row tells nothing of hours and fuel; empty if it does."""
    weights, ingots, hours = (float(row.values[key]) for key in ("weights_kg", "ingots_kg", "hours_h"))
    if not (weights > 0.0 and hours > 0.0 and isfinite(ingots)):
        return "without weights, ingots or hours"
    if _broken_off(row, usual):
        return "broken off (no ingots, or far fewer than such weights give)"
    if before is not None and _broken_off(before, usual):
        return "after one that was broken off: what had frozen in the pot is not known"
    if before is None and business.melting.heel_kg > 0.0:
        return "at the start of the notebook: whether there was a heel in the pot is not known"
    if ingots > MOST_LEAD_SHARE * weights:
        return "with as many ingots as weights: some lead must have been in the pot before"
    return ""


def _broken_off(row: _Row, usual: Usual) -> bool:
    weights, ingots = float(row.values["weights_kg"]), float(row.values["ingots_kg"])
    return not ingots > LEAST_OF_USUAL * usual.shares[0] * weights


def _known(row: _Row, before: _Row | None, after: _Row | None, business: Business, usual: Usual) -> KnownMelt:
    values, m = row.values, business.melting
    air_c, wind_m_s = float(values["air_c"]), float(values["wind_m_s"])
    if not (isfinite(air_c) and isfinite(wind_m_s)):
        usual_c, usual_m_s = usual.weather(row.day, row.lit_h, float(values["hours_h"]))
        air_c = air_c if isfinite(air_c) else usual_c
        wind_m_s = wind_m_s if isfinite(wind_m_s) else usual_m_s
    return KnownMelt(
        line=int(values[LINE]),
        lit_h=row.since_h,
        weights_kg=float(values["weights_kg"]),
        ingots_kg=float(values["ingots_kg"]),
        dross_kg=float(values["dross_kg"]),
        skimmed_kg=float(values["skimmed_kg"]),
        fuel_kg=float(values["fuel_kg"]) if values["fuel_kg"] > 0.0 else nan,
        hours_h=float(values["hours_h"]),
        packed=after is None or _packed(row, after),
        cooled_h=_cooled_h(row, before, m.clean_up_min / 60.0),
        heel_before_kg=_heel_kg(before, row, business) if before is not None else 0.0,
        heel_kg=_heel_kg(row, after, business),
        air_c=air_c,
        wind_m_s=wind_m_s,
        hands=_hands(row.day, business),
        free_h=max(usual.ends_h(row.day, row.lit_h) - row.lit_h, float(values["hours_h"])),
    )


def _packed(row: _Row, after: _Row) -> bool:
    """Was everything packed away before the next one was lit? Where times are missing, the last of a day was."""
    if row.timed and after.timed:
        return after.since_h - row.end_h > PACKED_H
    return after.day != row.day


def _cooled_h(row: _Row, before: _Row | None, clean_up_h: float) -> float:
    if before is None:
        return 24.0
    if not _packed(before, row):
        return 0.0
    end_h = before.end_h if isfinite(before.end_h) else before.since_h
    return max(0.0, row.since_h - end_h + clean_up_h)


def _heel_kg(row: _Row, after: _Row | None, business: Business) -> float:
    """Lead left in one pot after a melt: where alloys are kept apart, only if more of the same follows."""
    sorting = business.sorting
    apart = sorting.on and sorting.apart
    if apart and after is not None and row.values["alloy"] != after.values["alloy"]:
        return 0.0
    return float(business.melting.heel_kg)


def _hands(day: date, business: Business) -> float:
    helper = business.helper
    return float(helper.hands) if helper is not None and DAYS[day.weekday()] in helper.days else 1.0
