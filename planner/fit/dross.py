"""Lead lost to dross: how much of what was melted was skimmed off.

In: melts ready to be played again. Out: one block. Must not know: records.

What is lost for each hour molten is the scenario's, reckoned with the hours for which the melt was molten when it is
played again; what is left over is the share that any melt loses.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from typing import Final

import numpy as np

from planner.fit.estimate import Block, Picture, Untold
from planner.fit.means import estimate_of, scaled
from planner.fit.melt_course import Courses
from planner.fit.prior import DROSS, DROSS_SCATTER
from planner.scenario.business import Business
from planner.scenario.spread import Spread

NAME: Final = "lead lost to dross in any melt"
LEAST_OF_BEFORE: Final = 0.05
"""A melt counts as having lost this share of what was thought at least (assumed; what is weighed is rounded)."""


def dross(courses: Courses, business: Business) -> Block | Untold:
    """The share of lead that any melt loses.

    Parameters
    ----------
    courses : Courses
        Melts as they were written down, put right.
    business : Business
        With what the melts told of burner and hands.
    """
    melting = business.melting
    before = melting.dross_share
    if not before > 0.0:
        return Untold(NAME, "the scenario says 0, which no factor changes; write a first guess there")
    values, lines = [], []
    for charge, got in courses.melted(business):
        if isfinite(charge.melt.dross_kg) and got.new_lead_kg > 0.0:
            lost = charge.melt.dross_kg / got.new_lead_kg - melting.dross_hourly_share * got.molten_h
            values.append(max(lost, LEAST_OF_BEFORE * before))
            lines.append(charge.melt.line)
    if not values:
        return Untold(NAME, "no melt says what dross it left; weigh it and write it in melts")
    seen = np.array(values)
    spread = Spread.constant(before)
    one = estimate_of(
        NAME,
        "melting.dross_share",
        "",
        spread,
        scaled(seen, spread, scatter=DROSS_SCATTER),
        DROSS,
        records=len(values),
        method="mean of the records",
        table="melts",
        note="what is lost for each hour molten is as the scenario says",
    )
    along = np.array([1.0, max(2.0, float(seen.size))])
    picture = Picture(
        "melt",
        "lead lost, less that by the hour [%]",
        np.arange(1.0, seen.size + 1.0),
        100.0 * seen,
        along,
        np.full(2, 100.0 * one.value),
        np.full(2, 100.0 * before),
        line=tuple(lines),
    )
    return Block.of(replace(one, picture=picture))
