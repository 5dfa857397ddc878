from __future__ import annotations

from planner.study import Study
from planner.study.holding import held_back
from planner.workshop.measures import LIMITS, limit_measure
from tests.report import made


def test_the_limit_that_most_free_hours_were_lost_to_is_named(study: Study) -> None:
    found = held_back(study, "as today")
    assert found is not None
    lost = {limit: study.level("as today", limit_measure(limit)).mean for limit, _ in LIMITS}
    assert found.limit == max(lost, key=lambda limit: lost[limit])
    assert (found.hours, found.words) == (lost[found.limit], dict(LIMITS)[found.limit])
    assert 0.0 < found.hours <= found.free_hours


def test_where_every_free_hour_is_used_nothing_holds_it_back() -> None:
    played = made.study(made.three())
    for name in ("lost_buyers_h", "lost_weather_h"):
        played.values[:, :, played.column(name)] = 0.0
    assert held_back(played, "as today") is None
