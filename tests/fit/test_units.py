"""An owner who counts in pounds is told of pounds, and gets a scenario in pounds that means the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.fit.applied import applied, drawn
from planner.fit.estimate import Block, Estimate, Picture
from planner.fit.fitting import fit
from planner.fit.units import in_usual
from planner.fit.writing import written
from planner.report.fit_words import row_of
from planner.study import load
from tests.fit.truths import SMALL, small, year

LB_KG = 0.45359237
"""International yard and pound agreement of 1959: 0.453 592 37 kg, exactly (NIST Handbook 44, appendix C)."""


MPH_M_S = 0.44704
"""A mile of 1609.344 m in an hour, exactly (NIST SP 811, appendix B.8)."""


@pytest.fixture(scope="module")
def both():
    metric = fit(small(), year())
    return metric, fit(replace(small(), units="us"), year())


def test_the_same_is_told_in_pounds(both):
    units = {
        "kg": ("lb", 1 / LB_KG),
        "kg/h": ("lb/h", 1 / LB_KG),
        "EUR/kg": ("EUR/lb", LB_KG),
        "m/s": ("mph", 1 / MPH_M_S),
    }
    told = set()
    for one, other in zip(*(found.estimates for found in both), strict=True):
        unit, by = units.get(one.unit, (one.unit, 1.0))
        told.add(unit)
        assert (other.name, other.unit, other.records) == (one.name, unit, one.records)
        assert other.value == pytest.approx(one.value * by, rel=1e-9)
        assert other.interval == pytest.approx([end * by for end in one.interval], rel=1e-9)
        assert other.told_share == pytest.approx(one.told_share, rel=1e-9)
    assert {"lb", "lb/h", "EUR/lb", "mph", "kW"} <= told


def test_the_scenario_that_is_written_means_the_same(both, tmp_path):
    def values(scenario):
        business = scenario.business()
        settings = business.supply[0].settings
        return [
            settings.typical.mass_kg.mean,
            settings.typical.price.mean,
            business.sorting.rate_kg_per_h,
            *(buyers.settings.most.hard_per_kg.mean for buyers in business.demand),
            *(buyers.settings.size_kg.mean for buyers in business.demand),
        ]

    metric, us = both
    (tmp_path / "small.yaml").write_text(f"{SMALL.read_text()}\nunits: us\n")
    (tmp_path / "fitted.yaml").write_text(written(us, "small.yaml"))
    again = load(tmp_path / "fitted.yaml")
    assert values(again) == pytest.approx(values(applied(metric)), rel=2e-3)
    assert " lb" in (tmp_path / "fitted.yaml").read_text()
    z = [0.7] * len(again.estimates)
    moved = [values(scenario.drawn(scenario.estimates.inputs(z))) for scenario in (again, drawn(metric))]
    assert moved[0] == pytest.approx(moved[1], rel=5e-3)


def test_what_it_was_seen_in_is_drawn_in_pounds_too():
    x = np.array([40.0, 60.0])
    seen = Picture("mass of a bucket [kg]", "buckets", x, np.array([1.0, 2.0]), x, x, x)
    one = Estimate("mass", "a.b", "times", 50.0, "kg", 0.1, 0.05, 0.1, 2, "mean", "pickups", seen)
    other = in_usual(Block.of(one, replace(one, name="again")), "EUR", us=True).estimates
    assert other[0].picture is other[1].picture
    assert other[0].picture.x_title == "mass of a bucket [lb]"
    assert other[0].picture.x == pytest.approx(x / LB_KG)
    assert other[0].picture.y.tolist() == [1.0, 2.0]
    assert row_of(other[0])[:2] == ("mass [lb]", "110")
