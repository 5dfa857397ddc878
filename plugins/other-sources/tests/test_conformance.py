"""Weights from other sources than shops keep to what is asked of every supply model."""

from __future__ import annotations

from pathlib import Path

from planner.testing import SupplyConformance
from planner_other_sources import planner_models

REPLAY, CONTRACT, CLEAROUTS, LOOSE = planner_models()
PACKAGE = Path(__file__).resolve().parents[1]


class TestReplay(SupplyConformance):
    provider = REPLAY
    folder = PACKAGE


class TestRecordsThatWaitForNobodyKnowsHowLong(SupplyConformance):
    provider = REPLAY
    folder = PACKAGE
    settings = REPLAY.example | {"waits": {"gamma": {"mean": "30 days", "sd": "12 days"}}}
    changed = {"waits": {"gamma": {"mean": "31 days", "sd": "12 days"}}}


class TestContract(SupplyConformance):
    provider = CONTRACT


class TestContractByMonth(SupplyConformance):
    provider = CONTRACT
    settings = {key: value for key, value in CONTRACT.example.items() if key != "buckets_a_year"} | {
        "by_month": {"jan-mar": 1, "apr-may": 4, "jun-sep": 1, "oct-nov": 4, "dec": 0}
    }


class TestClearouts(SupplyConformance):
    provider = CLEAROUTS


class TestLoose(SupplyConformance):
    provider = LOOSE
