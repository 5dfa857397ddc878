"""Fitted rates keep to what is asked of every rates model."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.testing import RatesConformance
from planner_fitted_rates import planner_models

(REVERTING,) = planner_models()


class TestReverting(RatesConformance):
    provider = REVERTING
    changed = {"half_life": "700 days", "mean_times": 1.02}

    @pytest.fixture(autouse=True)
    def _the_examples_prices_under_that_name(self, tmp_path: Path) -> None:
        prices = Path(__file__).resolve().parents[1] / "lead.csv"
        (tmp_path / "prices.csv").write_bytes(prices.read_bytes())
        self.folder = tmp_path


class TestARestlessMarket(TestReverting):
    settings = {"file": "prices.csv", "shocks": {"number": "6 per year", "mean_share": -0.2, "sd_share": 0.1}}
    changed = {"shocks": {"number": "6.1 per year", "mean_share": -0.2, "sd_share": 0.1}}
