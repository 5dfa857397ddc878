"""What a fit says first: which values lie elsewhere than the scenario said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.fit.estimate import Block, Estimate, Picture
from planner.fit.fitting import Fit
from planner.report.charts import fits
from planner.report.fit_words import summary_words
from planner.study import load
from tests.fit.truths import SMALL

STILL = Estimate("mass of a bucket", "", "times", 50.0, "kg", 0.01, 0.05, 0.1, 20, "mean", "pickups")
FAR = replace(STILL, name="price of a bucket", before=10.0, unit="EUR", shift=0.5, sd=0.1, prior_sd=0.3)
FARTHER = replace(FAR, name="how much casters want", before=12.0, unit="kg", shift=-0.5, sd=0.05)


def fit_of(*estimates: Estimate) -> Fit:
    return Fit(load(SMALL), (Block.of(*estimates),), (), {}, None, ())


def test_a_value_is_named_where_what_was_thought_lies_outside_of_its_interval():
    assert summary_words(fit_of(STILL, FAR)) == (
        "Of 2 values that your records tell, 1 lies clearly elsewhere than the scenario said: "
        "price of a bucket (16.5 EUR, was 10)."
    )


def test_the_surest_is_named_first_and_no_more_than_can_be_read():
    many = [replace(FAR, name=f"price {number}") for number in range(7)]
    told = summary_words(fit_of(STILL, *many, FARTHER))
    assert "said: how much casters want (7.28 kg, was 12), price 0 (" in told
    assert told.endswith("price 3 (16.5 EUR, was 10); and 3 more.")


def test_it_is_said_where_nothing_moved():
    assert summary_words(fit_of(STILL)) == (
        "Of 1 value that your records tell, none lies clearly elsewhere than the scenario said."
    )


def test_bars_of_what_has_a_name_stand_under_their_names():
    picture = Picture(
        "what is in a bucket", "parts of a hundred", np.array([1.0, 2.0]), np.array([60.0, 40.0]),
        np.array([1.0, 2.0]), np.array([55.0, 45.0]), np.array([50.0, 50.0]), kind="counts", names=("lead", "rubbish"),
    )  # fmt: skip
    found = fits.draw("fit-1", replace(STILL, picture=picture), "Mix")
    assert found is not None
    assert list(found.rows) == [("lead", "60", "55", "50"), ("rubbish", "40", "45", "50")]
    spec = found.chart.to_dict()
    assert [layer["mark"]["type"] for layer in spec["layer"]] == ["bar", "tick", "tick"]
    assert all(layer["encoding"]["x"]["sort"] == ["lead", "rubbish"] for layer in spec["layer"])


@pytest.mark.parametrize("shift", [0.08, -0.08])
def test_the_end_of_an_interval_decides_either_way(shift):
    inside = replace(STILL, shift=shift, sd=abs(shift) / 1.6)
    outside = replace(STILL, shift=shift, sd=abs(shift) / 1.7)
    assert (inside.is_elsewhere, outside.is_elsewhere) == (False, True)
