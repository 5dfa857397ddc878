from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from planner.engine.player import Player, Setting
from planner.scenario import Scenario
from planner.study import Study
from planner.study.picture import Picture, picture, typical_replicate
from planner.workshop.result import LotRow, MeltRow, Run, SaleRow, YardRow
from planner.world.parts import Weather


def melted(number: int, t_h: float, lots: tuple[tuple[int, float], ...], **masses: float) -> MeltRow:
    """A melt of two hours of which only what is named matters here."""
    blank = dict.fromkeys(MeltRow._fields, 0.0) | {"alloy": "hard", "cause": "", "zinced": False}
    told = {"melt": number, "t_h": t_h, "end_h": t_h + 2.0, "lots": lots}
    return MeltRow(**(blank | told | masses))  # type: ignore[arg-type]


def sold(t_h: float, melt: int, mass_kg: float) -> SaleRow:
    money = 3.0 * mass_kg
    return SaleRow(
        t_h, "casters", 0, "private", "hard", mass_kg, 3.0, money, 0.0, 0.0, 0.0, ((melt, mass_kg),), 0.0
    )


def picture_of(run: Run) -> Picture:
    still = np.zeros(24 * run.days)
    weather = Weather(still, still, still, still)
    return picture(run, weather, date(2026, 1, 1), "as today", 0)


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
    gone = sum(
        stage.mass_kg
        for stage in found.way
        if stage.what in ("sold", "to the yard", "left over") and stage.alloy
    )
    assert gone == pytest.approx(made, abs=1e-3 * len(found.way))
    assert 0.0 < made <= lot.mass_kg


def test_a_study_looks_at_today_and_at_what_is_ahead_in_one_and_the_same_world(study: Study) -> None:
    ahead = study.findings.best or study.findings.leader
    assert [one.option for one in study.pictures] == list(dict.fromkeys(["as today", ahead]))
    assert len({one.replicate for one in study.pictures}) == 1


def test_what_of_a_bucket_goes_to_the_yard_is_told_with_its_mass_and_its_day() -> None:
    run = Run(opening_cash=0.0, days=30)
    run.lots.append(LotRow(1, 10.0, "Corner Tyres", 60.0, 12.0, False, 40.0, 5.0, 10.0, 2.0, 2.0, 1.0))
    run.melts.append(melted(2, 100.0, ((1, 30.0),), charged_kg=60.0, poured_kg=50.0))
    run.sales.append(sold(200.0, 2, 20.0))
    run.yard += [
        YardRow(300.0, "weights", 25.0, 0.5, 1, 0),
        YardRow(300.0, "lead", 8.0, 1.1, 0, 2),
        YardRow(300.0, "lead", 9.0, 1.1, 0, 7),
        YardRow(300.0, "clips", 9.0, 0.1, 0, 0),
    ]
    way = tuple(picture_of(run).way)
    yard = [(one.mass_kg, one.money, one.alloy, one.start) for one in way if one.what == "to the yard"]
    assert yard == [
        (25.0, 12.5, "", "2026-01-13T12:00"),
        (4.0, pytest.approx(4.4), "hard", "2026-01-13T12:00"),
    ]
    left = [(one.mass_kg, one.alloy) for one in way if one.what == "left over"]
    assert left == [(5.0, ""), (25.0 - 10.0 - 4.0, "hard")]  # half of the melt was this bucket's


def test_a_bucket_that_is_all_gone_no_longer_waits() -> None:
    run = Run(opening_cash=0.0, days=30)
    run.lots.append(LotRow(1, 10.0, "Corner Tyres", 60.0, 12.0, False, 40.0, 5.0, 10.0, 2.0, 2.0, 1.0))
    run.melts.append(melted(2, 100.0, ((1, 30.0),), charged_kg=30.0, poured_kg=20.0))
    run.sales.append(sold(200.0, 2, 20.0))
    run.yard.append(YardRow(300.0, "weights", 30.0, 0.5, 1, 0))
    way = picture_of(run).way
    assert [(one.what, one.end) for one in way if one.what in ("waits", "in stock", "left over")] == [
        ("waits", "2026-01-13T12:00"),
        ("in stock", "2026-01-09T08:00"),
    ]
