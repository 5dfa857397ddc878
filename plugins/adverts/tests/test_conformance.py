"""Buyers who come after adverts keep to what is asked of every demand model."""

from __future__ import annotations

from planner.testing import DemandConformance
from planner_adverts import planner_models

(BURST,) = planner_models()


class TestBurst(DemandConformance):
    provider = BURST


class TestKeenBuyers(DemandConformance):
    provider = BURST
    settings = BURST.example | {"adverts": {"every": "30 days", "more_often_share": 0.5, "reach_share": 0.3}}
    changed = {"adverts": {"every": "30 days", "more_often_share": 0.52, "reach_share": 0.3}}


class TestWithoutAdverts(DemandConformance):
    provider = BURST
    settings = {key: value for key, value in BURST.example.items() if key != "adverts"}
