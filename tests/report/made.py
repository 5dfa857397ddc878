"""Studies made by hand, whose words and tables are known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from planner.study import Study
from planner.study.failures import FailedRun
from planner.study.findings import Field, Rule, choose, identical_groups
from planner.study.intervals import FloatArray
from planner.study.study import Candidate, Subject
from planner.workshop.measures import MEASURES
from planner.workshop.premises import Refusal

HOUR_PRICE = 5.0
LIFTING = Refusal("lifting", "portions of 59 kg have a lifting index above 3.0", "NIOSH 94-110")


def swings(n: int, size: float = 200.0) -> FloatArray:
    """Good and bad years that all options share."""
    return size * np.sin(np.arange(n, dtype=float))


def wobble(n: int, size: float, k: int = 1) -> FloatArray:
    """What only one option sees of it."""
    return size * np.cos(np.arange(n) * (1.0 + 0.37 * k) + k)


def study(
    after: Mapping[str, FloatArray],
    refused: Mapping[str, tuple[Refusal, ...]] | None = None,
    outlooks: tuple[str, ...] = ("expected",),
    failures: tuple[FailedRun, ...] = (),
    hours: Mapping[str, float] | None = None,
    start_up_cost: float = 90.0,
    **changes: Any,
) -> Study:
    """A study of money after hours, 5 EUR each and 100 unless told; the other measures follow from it."""
    names = tuple(after)
    rows = np.array(list(after.values()))
    same = np.where(np.isnan(rows), np.nan, 1.0)
    worked = same * np.array([[(hours or {}).get(name, 100.0)] for name in names])
    before = rows + HOUR_PRICE * worked
    per_hour = np.divide(before, worked, out=np.full_like(before, np.nan), where=worked > 0.0)
    known = {
        "profit": before,
        "profit_after_hours": rows,
        "profit_per_hour": per_hour,
        "hours_h": worked,
        "melt_hours_h": 0.5 * worked,
        "sell_hours_h": 0.5 * worked,
        "exposure_h": 0.6 * worked,
        "highest_lifting_index": 2.0 * same,
        "free_hours_h": 800.0 * same,
        "lost_buyers_h": 500.0 * same,
        "lost_weather_h": 20.0 * same,
        "sold_kg": 300.0 * same,
        "skimmed_kg": 90.0 * same,
    }
    values = np.stack([known.get(one.name, 0.0 * same) for one in MEASURES], axis=1)
    whole = np.stack([values] * len(outlooks), axis=1)
    broken = {(name, outlook): (refused or {}).get(name, ()) for name in names for outlook in outlooks}
    subject = {
        "title": "Wheel weights",
        "file": "town.yaml",
        "digest": "d" * 64,
        "currency": "EUR",
        "units": "metric",
        "seed": 1,
        "replicates": rows.shape[1],
        "days": 365,
        "confidence": 0.95,
        "worth_caring_about": 50.0,
        "base": names[0],
        "versions": {"planner": "1.2.3"},
        "resolved": {"cash": {"opening": "700 EUR"}},
    } | changes
    field = Field(
        outlooks[0],
        "profit_after_hours",
        names,
        rows,
        [name for name in names if broken[name, outlooks[0]]],
        identical_groups(names, whole),
    )
    return Study(
        Subject(**subject),
        tuple(Candidate(name, "", start_up_cost if name != names[0] else 0.0, 10.0) for name in names),
        outlooks,
        MEASURES,
        whole,
        failures,
        broken,
        choose(field, Rule(names[0], 0.95, subject["worth_caring_about"])),
    )


def three(n: int = 60) -> dict[str, FloatArray]:
    """As today, one that is better by 300, one that is worse."""
    return {
        "as today": 100.0 + swings(n),
        "bigger burner": 400.0 + swings(n) + wobble(n, 40.0),
        "bigger pot": 50.0 + swings(n) + wobble(n, 40.0, 2),
    }
