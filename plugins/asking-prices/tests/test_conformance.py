"""Asking prices keep to what is asked of every pricing model."""

from __future__ import annotations

from planner.testing import PricingConformance
from planner_asking_prices import planner_models

LINKED, LADDER, BEST = planner_models()
LARGE = {
    "people": 2,
    "gap": "60 days",
    "size": "80 kg",
    "most": {"mixed": "2.4 EUR/kg", "zinced": "1 EUR/kg"},
}


class TestLinked(PricingConformance):
    provider = LINKED


class TestLadder(PricingConformance):
    provider = LADDER


class TestBestUntilASeasonEnds(PricingConformance):
    provider = BEST


class TestBestUntilADateWithSeveralWaysOfSelling(PricingConformance):
    provider = BEST
    settings = {key: value for key, value in BEST.example.items() if key != "season_ends"} | {
        "bulk": [LARGE],
        "costs": {"private": "0.3 EUR/kg", "post": "1 EUR/kg"},
        "until": "2026-06-30",
    }
