from __future__ import annotations

import numpy as np
import pytest

from planner.engine.player import Player, Setting
from planner.scenario import Scenario
from planner.study import Study
from planner.study.picture import picture, typical_replicate


def test_the_typical_world_is_the_middle_one() -> None:
    assert typical_replicate(np.array([5.0, 1.0, 3.0, 9.0, 2.0])) == 2
    assert typical_replicate(np.array([np.nan, 1.0, 3.0])) == 1
    assert typical_replicate(np.array([np.nan])) is None


def test_days_tell_what_was_poured_and_how_long_the_owner_was_free(garden: Scenario) -> None:
    business = garden.business("as today", "expected")
    world, run = Player(Setting(garden, 1)).see("as today", "expected", 0)
    found = picture(run, world.weather, business.calendar.start, "as today", 0)
    assert len(found.days) == run.days == 60
    assert sum(row.poured_kg for row in found.days) == pytest.approx(
        sum(melt.poured_kg for melt in run.melts)
    )
    assert sum(row.free_h for row in found.days) == pytest.approx(run.measures["free_hours_h"])
    assert {row.state for row in found.days if row.poured_kg > 0} <= {"melted", "broken off"}
    assert all(row.state == "not free" for row in found.days if row.free_h == 0.0)
    noon = world.weather.temperature_c[8:20].mean()
    assert found.days[0].air_c == pytest.approx(noon)


def test_one_bucket_is_followed_from_the_shop_to_its_buyers(garden: Scenario) -> None:
    business = garden.business("as today", "expected")
    world, run = Player(Setting(garden, 1)).see("as today", "expected", 0)
    found = picture(run, world.weather, business.calendar.start, "as today", 0)
    lot = next(row for row in run.lots if row.lot == found.lot)
    stages = [stage.what for stage in found.way]
    assert stages[0] == "fetched"
    assert "sold" in stages
    assert found.way[0].money == -lot.cost
    assert [stage.start for stage in found.way] == sorted(stage.start for stage in found.way)
    made = sum(stage.mass_kg for stage in found.way if stage.what == "melted")
    gone = sum(stage.mass_kg for stage in found.way if stage.what in ("sold", "left over"))
    assert gone == pytest.approx(made, abs=1e-3 * len(found.way))
    assert 0.0 < made <= lot.mass_kg


def test_a_study_looks_at_today_and_at_what_is_ahead_in_one_and_the_same_world(study: Study) -> None:
    ahead = study.findings.best or study.findings.leader
    assert [one.option for one in study.pictures] == list(dict.fromkeys(["as today", ahead]))
    assert len({one.replicate for one in study.pictures}) == 1
