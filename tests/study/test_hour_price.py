from __future__ import annotations

from math import inf
from pathlib import Path

import numpy as np
import pytest

from planner.scenario import Scenario
from planner.study import compare, load
from planner.study.hour_price import hour_prices
from tests.report.made import HOUR_PRICE, LIFTING, study, three

HOURS = {"as today": 100.0, "bigger burner": 160.0, "bigger pot": 240.0}


def test_between_these_prices_no_other_allowed_option_has_a_higher_mean() -> None:
    played = study(three(), hours=HOURS)
    found = hour_prices(played)
    assert found is not None
    assert found.price == pytest.approx(HOUR_PRICE)
    money, hours = played.level("bigger burner", "profit").mean, 160.0
    for price in np.linspace(0.0, 30.0, 301):
        best = max(played.names, key=lambda name: played.level(name, "profit").mean - price * HOURS[name])
        assert (best == "bigger burner") == (found.low <= price <= found.high), price
        assert best == "bigger burner" or best == (found.below if price < found.low else found.above)
    assert money - found.high * hours == pytest.approx(
        played.level("as today", "profit").mean - found.high * 100.0
    )


def test_a_refused_option_overtakes_nothing() -> None:
    found = hour_prices(study(three(), hours=HOURS, refused={"as today": (LIFTING,)}))
    assert found is not None
    assert (found.above, found.high) == (None, inf)


def test_nothing_is_claimed_without_a_recommendation_or_without_one_price() -> None:
    assert hour_prices(study(three(20), hours=HOURS)) is None
    played = study(three(), hours=HOURS)
    played.values[0, 0, played.column("profit")] += 1.0
    assert hour_prices(played) is None


def test_neither_money_nor_hours_of_a_run_depend_on_the_price_of_an_hour(
    garden: Scenario, tmp_path: Path
) -> None:
    file = tmp_path / "garden.yaml"
    text = garden.path.read_text(encoding="utf-8").replace("hour_price: 5 EUR/h", "hour_price: 50 EUR/h")
    file.write_text(text, encoding="utf-8")
    cheap, dear = compare(garden, replicates=2), compare(load(file), replicates=2)
    for measure in ("profit", "hours_h"):
        column = cheap.column(measure)
        assert np.array_equal(cheap.values[:, :, column], dear.values[:, :, column], equal_nan=True)
    assert not np.array_equal(cheap.values, dear.values, equal_nan=True)
