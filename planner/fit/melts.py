"""Hours and propane of melts: what they tell of the burner, of the wind and of the hands; and what dross they left.

In: ``melts``. Out: blocks. Must not know: other tables.

Least squares of the heat balance: each melt is played again by the functions of a run, with what was charged, the air
and the wind of that day, and its logarithm of hours and of propane is held against what was written down. Prior
deviations take part as records of their own, which draws what is told weakly to the scenario.

What wind costs and how long hands take stand beside the burner's efficiency, so that a draughty place or slow hands
are not taken for a bad burner. Loss by radiation, covered sides and loose contact cannot be told from the efficiency by
hours and propane alone; they stay as the scenario says, and the efficiency is that which goes with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, log
from typing import Final

import numpy as np

from planner.fit.dross import dross
from planner.fit.estimate import Block, Estimate, FloatArray, Picture, Untold
from planner.fit.melt_course import Courses, Lever, moved
from planner.fit.melt_pictures import by_hours, by_propane, by_wind
from planner.fit.melt_rows import KnownMelt, Told, told_by
from planner.fit.melt_scatter import Balance, Scatter, middle_and_sd, posterior
from planner.fit.prior import (
    BURNER_EFFICIENCY,
    BURNER_POWER,
    CLEAN_UP,
    MOULDS,
    SKIMMING,
    WIND_HALF,
    Prior,
)
from planner.fit.usual import Usual
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.business import Business

NAME: Final = "hours and propane of a melt"
METHOD: Final = "least squares of the heat balance"
TURNS: Final = 2
"""How often charges are put right by what was estimated."""
FARTHEST: Final = 4.0
"""No estimate goes farther than so many prior deviations."""
FAR: Final = log(1.5)
"""A melt half as long again as the others tell, or two thirds of it, is looked at (assumed)."""
FAR_SD: Final = 4.0
"""It is left out if that is so many deviations of the scatter of all (assumed)."""
MOST_LEFT_OUT_SHARE: Final = 0.1
"""Never more melts than this are left out: then it is no slip of the pen (assumed)."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One value that is estimated."""

    name: str
    lever: Lever
    unit: str
    prior: Prior


EFFICIENCY: Final = _Part(
    "burner's efficiency",
    Lever("melting.burner.efficiency_share", ("burner", "efficiency_share")),
    "",
    BURNER_EFFICIENCY,
)
POWER: Final = _Part(
    "burner's power", Lever("melting.burner.power", ("burner", "power_w")), "W", BURNER_POWER
)
WIND: Final = _Part(
    "wind that takes half of the heat",
    Lever("melting.burner.wind_half", ("burner", "wind_half_m_s")),
    "m/s",
    WIND_HALF,
)
PACKING: Final = _Part(
    "cleaning up after melting", Lever("melting.clean_up", ("clean_up_min",)), "min", CLEAN_UP
)
ROUND: Final = _Part(
    "a round of the moulds", Lever("melting.moulds.round", ("moulds", "round_min")), "min", MOULDS
)
EACH: Final = _Part(
    "hands' time for a mould", Lever("melting.moulds.each", ("moulds", "each_min")), "min", MOULDS
)
SKIM: Final = _Part("skimming a load", Lever("melting.skim", ("skim_min",)), "min", SKIMMING)


def melts(scenario: Scenario, records: Records) -> list[Block | Untold]:
    """Efficiency, power and wind of the burner, the times of the hands, and the lead lost to dross.

    Parameters
    ----------
    scenario : Scenario
        What is thought so far.
    records : Records
        The notebook; of ``melts`` at least date, weights, ingots and hours.
    """
    business = scenario.business()
    if not business.melting.on:
        return []
    if not len(records["melts"]):
        return [Untold(NAME, "no melt is written down; write one row for each in melts")]
    usual = Usual.of(scenario)
    told = told_by(records, business, usual)
    if not told.melts:
        return [Untold(NAME, "; ".join(["no melt in melts tells it", *told.notes]))]
    return list(_told(business, usual, told))


def _parts(business: Business) -> list[_Part]:
    """What is estimated: what the scenario says 0 of no factor changes."""
    moulds = business.melting.moulds
    hands = EACH if moulds.count * moulds.each_min > moulds.round_min else ROUND
    parts = (EFFICIENCY, POWER, WIND, PACKING, hands, SKIM)
    return [part for part in parts if part.lever.of(business) > 0.0]


def _told(business: Business, usual: Usual, told: Told) -> Iterator[Block | Untold]:
    parts = _parts(business)
    prior_sd = np.array([part.prior.sd for part in parts])
    found = _found(business, usual, told.melts, parts, prior_sd)
    kept, courses = list(told.melts), found.courses
    notes = list(told.notes)
    far = _far(found)
    if far:
        lines = ", ".join(str(kept[i].line) for i in far)
        notes.append(f"left out: hours or propane far from what all others tell (line {lines})")
        kept = [one for i, one in enumerate(kept) if i not in far]
        found = _found(business, usual, kept, parts, prior_sd)
        courses = found.courses
    after = moved(business, [part.lever for part in parts], found.shift)
    notes.append(_scatter_in_words(found.scatter))
    hours = by_hours(courses, business, after, found.scatter.hours_sd)
    pictures: dict[str, Picture | None] = {
        POWER.name: by_propane(courses, business, after, found.scatter.fuel_sd),
        WIND.name: by_wind(courses, business, after, found.scatter.hours_sd),
    }
    yield Block(
        tuple(
            Estimate(
                name=part.name,
                path=part.lever.path,
                way="times",
                before=part.lever.of(business),
                unit=part.unit,
                shift=float(found.shift[i]),
                sd=float(np.sqrt(found.covariance[i, i])),
                prior_sd=part.prior.sd,
                records=_records(part, kept, told.winds),
                method=METHOD,
                table="melts",
                picture=pictures.get(part.name, hours),
                note=_note(part, notes, kept),
            )
            for i, part in enumerate(parts)
        ),
        _correlation(found.covariance),
    )
    yield dross(courses, after)


def _records(part: _Part, kept: list[KnownMelt], winds: int) -> int:
    """How many melts tell it."""
    if part is POWER:
        return sum(isfinite(one.fuel_kg) for one in kept)
    if part is WIND:
        return min(winds, len(kept))
    if part is PACKING:
        return sum(one.packed for one in kept)
    return len(kept)


def _note(part: _Part, notes: list[str], kept: list[KnownMelt]) -> str:
    if part is EFFICIENCY:
        return "; ".join(notes)
    if part is POWER and not any(isfinite(one.fuel_kg) for one in kept):
        return "no propane is written down: only the power times the efficiency is told by hours"
    if part is WIND:
        return "stands for the shelter of the place too"
    return ""


def _scatter_in_words(scatter: Scatter) -> str:
    words = f"hours of single melts lie about {100.0 * scatter.hours_sd:.0f} % off"
    if scatter.fuels:
        words += f", propane about {100.0 * scatter.fuel_sd:.0f} %"
    return words


def _correlation(covariance: FloatArray) -> FloatArray:
    sd = np.sqrt(np.diag(covariance))
    correlation: FloatArray = covariance / np.outer(sd, sd)
    np.fill_diagonal(correlation, 1.0)
    return correlation


@dataclass(frozen=True, eq=False)
class _Found:
    shift: FloatArray
    covariance: FloatArray
    scatter: Scatter
    off: FloatArray
    """Logarithms of what was written down over what is foretold, shape (melts, 2): hours, propane."""
    unknown: FloatArray
    """Covariance of these by what is not known of each melt, shape (melts, 2, 2)."""
    courses: Courses


def _found(
    business: Business, usual: Usual, known: list[KnownMelt], parts: list[_Part], prior_sd: FloatArray
) -> _Found:
    """Estimate, put the charges right by it, and estimate again from there."""
    courses, levers = Courses(business, usual, known), [part.lever for part in parts]
    written: FloatArray = np.log(np.array([(one.hours_h, one.fuel_kg) for one in known]))

    def off(shift: FloatArray) -> FloatArray:
        return written - np.log(np.column_stack(courses.foretold(moved(business, levers, shift))))

    most = np.full(len(parts), FARTHEST) * prior_sd
    most[0] = min(most[0], log(1.0 / business.melting.burner.efficiency_share))
    shift = np.zeros(len(parts))
    for _ in range(TURNS):
        after = moved(business, levers, shift)
        courses.put_right(after)
        unknown = courses.unknown(after)
        shift, covariance, scatter = posterior(off, Balance(prior_sd, most, unknown), shift)
    return _Found(shift, covariance, scatter, off(shift), unknown, courses)


def _far(found: _Found) -> list[int]:
    """Melts whose hours or propane are far from what all others tell; none where there are many of them."""
    middle, sd = middle_and_sd(found.off)
    apart = np.abs(found.off - middle)
    sd_each = np.sqrt(sd**2 + np.diagonal(found.unknown, axis1=1, axis2=2))
    far = (apart > np.fmax(FAR, FAR_SD * sd_each)).any(axis=1)
    few = far.sum() <= max(1.0, MOST_LEFT_OUT_SHARE * far.size) and far.size > 3
    return [int(i) for i in np.flatnonzero(far)] if few else []
