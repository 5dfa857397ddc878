"""What the burner's estimates were seen in: hours and propane as written down over what is foretold, hours over wind.

In: melts ready to be played, the business before and after. Out: pictures. Must not know: how it was fitted.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from planner.fit.estimate import USUAL_Z, FloatArray, Picture
from planner.fit.melt_course import Charge, Courses
from planner.scenario.business import Business

POINTS: Final = 25
"""Of each curve."""


def by_hours(courses: Courses, before: Business, after: Business, sd: float) -> Picture:
    """Hours as written down over hours as foretold."""
    written = np.array([charge.melt.hours_h for charge in courses.charges])
    return _foretold("hours", written, courses.foretold(after)[0], courses.foretold(before)[0], sd, courses)


def by_propane(courses: Courses, before: Business, after: Business, sd: float) -> Picture | None:
    """Propane as written down over propane as foretold; None where none was."""
    written = np.array([charge.melt.fuel_kg for charge in courses.charges])
    if not np.isfinite(written).any():
        return None
    return _foretold(
        "propane [kg]", written, courses.foretold(after)[1], courses.foretold(before)[1], sd, courses
    )


def _foretold(
    what: str, written: FloatArray, fitted: FloatArray, before: FloatArray, sd: float, courses: Courses
) -> Picture:
    """The fit is the diagonal; the scenario before foretold that times a factor, on average."""
    there = np.isfinite(written)
    written, fitted, before = written[there], fitted[there], before[there]
    curve = np.linspace(min(0.0, float(fitted.min())), float(max(fitted.max(), written.max())), POINTS)
    factor = float(np.exp(np.mean(np.log(before / fitted))))
    spread = np.exp(USUAL_Z * sd)
    return Picture(
        f"{what}, as foretold",
        f"{what}, as written down",
        fitted,
        written,
        curve,
        curve,
        factor * curve,
        curve / spread,
        curve * spread,
        tuple(one.melt.line for one, kept in zip(courses.charges, there, strict=True) if kept),
    )


def by_wind(courses: Courses, before: Business, after: Business, sd: float) -> Picture:
    """Hours over the wind, as if each melt had been of the middle charge in its air."""
    charges = courses.charges
    middle = charges[int(np.argsort([charge.melt.weights_kg for charge in charges])[len(charges) // 2])]
    wind = np.array([charge.melt.wind_m_s for charge in charges])
    written = np.array([charge.melt.hours_h for charge in charges])
    own = courses.foretold(after)[0]
    curve = np.linspace(0.0, max(float(wind.max()), 1.0), POINTS)
    at = _over_wind(courses, after, middle, wind)
    fitted = _over_wind(courses, after, middle, curve)
    spread = np.exp(USUAL_Z * sd)
    return Picture(
        "wind of the day [m/s]",
        "hours, as if all were of one charge",
        wind,
        written * at / own,
        curve,
        fitted,
        _over_wind(courses, before, middle, curve),
        fitted / spread,
        fitted * spread,
        tuple(charge.melt.line for charge in charges),
    )


def _over_wind(courses: Courses, business: Business, charge: Charge, wind: FloatArray) -> FloatArray:
    """Hours of one charge in several winds."""
    in_wind = [replace(charge, melt=replace(charge.melt, wind_m_s=one)) for one in wind.tolist()]
    return courses.foretold(business, in_wind)[0]
