"""Buyers who come after adverts: drawn, in a run, and as a scenario. The people are invented for the tests."""

from __future__ import annotations

import pickle
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError
from typer.testing import CliRunner

import planner
from planner.cli.app import app
from planner.plugin.builtin.crowds import RETURNING
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import Bill, Crowd, Horizon
from planner_adverts import planner_models
from planner_adverts.model import appear_h
from planner_adverts.settings import BurstSettings

EXAMPLE = Path(__file__).resolve().parents[1] / "adverts.yaml"
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
CASTERS: dict[str, Any] = {
    "people": 300,
    "known": 60,
    "gap": {"gamma": {"mean": "60 days", "sd": "30 days"}},
    "size": {"lognormal": {"mean": "15 kg", "sd": "6 kg"}},
    "most": {"hard": {"normal": {"mean": "4.6 EUR/kg", "sd": "0.5 EUR/kg"}}},
    "season": {"jan-mar": 1.5, "apr-dec": 0.8},
    "tin_wanting_share": 0.3,
}
ONE = {"dates": ["2026-03-01"], "reach_share": 0.4, "half_life": "10 days", "cost": "15 EUR"}
(BURST,) = planner_models()


def casters(replicate: int = 0, horizon: Horizon = YEAR, **changes: Any) -> Crowd:
    settings = BurstSettings.model_validate(CASTERS | changes, context={"currency": "EUR"})
    crowd: Crowd = BURST.build(settings).draw(Draw(5, replicate), horizon)
    inspect(crowd, Crowd, horizon)
    return crowd


def same(one: Crowd, other: Crowd, but: tuple[str, ...] = ()) -> bool:
    def alike(name: str) -> bool:
        a, b = getattr(one, name), getattr(other, name)
        if isinstance(a, dict):
            return a.keys() == b.keys() and all(np.array_equal(a[key], b[key]) for key in a)
        return (
            np.array_equal(a, b) if isinstance(a, np.ndarray) or isinstance(b, np.ndarray) else bool(a == b)
        )

    return all(alike(name) for name in Crowd.__slots__ if name not in but)


@pytest.mark.parametrize(
    "adverts", [None, {}, {"cost": "9 EUR", "reach_share": 0.5}, {"dates": ["2027-05-01"]}]
)
def test_without_adverts_they_are_returning_buyers_to_the_bit(adverts: dict[str, Any] | None) -> None:
    changes = {} if adverts is None else {"adverts": adverts}
    for replicate in range(3):
        plain = RETURNING.build(RETURNING.settings.model_validate(CASTERS)).draw(Draw(5, replicate), YEAR)
        assert same(casters(replicate, **changes), plain)


def test_with_adverts_their_needs_stay_those_of_returning_buyers() -> None:
    assert same(casters(), casters(adverts=ONE), but=("knows_from_h", "bills"))
    assert not same(casters(), casters(adverts=ONE))


def test_an_advert_tells_its_share_from_its_day_on_with_its_decay() -> None:
    told = np.concatenate([casters(number, adverts=ONE).knows_from_h for number in range(40)]) / 24.0 - 59.0
    people = told.size
    assert told.min() >= 0.0
    for after, share in ((10.0, 1 - 0.6**0.5), (20.0, 1 - 0.6**0.75), (300.0, 0.4)):
        error = np.sqrt(share * (1 - share) / people)
        assert np.mean(told <= after) == pytest.approx(share, abs=4 * error)


def test_each_advert_is_billed_on_its_day() -> None:
    crowd = casters(adverts={**ONE, "dates": ["2025-12-24", "2026-03-01"], "every": "100 days"})
    days = [0, 59, 100, 200, 300]
    assert crowd.bills == tuple(Bill(24.0 * day, "adverts", 15.0) for day in days)


def test_adverts_come_on_dates_and_every_so_many_days_between_dates() -> None:
    def days(**adverts: Any) -> list[float]:
        settings = BurstSettings.model_validate(CASTERS | {"adverts": adverts})
        return (appear_h(settings.adverts, YEAR) / 24.0).tolist()

    assert days(every="150 days") == [0, 150, 300]
    assert days(every="10 days", between="2026-02-01 to 2026-02-21") == [31, 41, 51]
    assert days(every="10 days", between="2025-12-28 to 2026-01-10", dates=["2026-01-06"]) == [-4, 5, 6]
    assert days(every="10 days", between="2027-02-01 to 2027-02-21") == []


def test_those_who_know_ask_more_often_while_an_advert_is_fresh() -> None:
    keen = {"dates": ["2026-03-01"], "more_often_share": 0.5, "half_life": "10 days"}
    plain, often = (np.diff(casters(adverts=adverts).operational_h) for adverts in (ONE, keen))
    times = often / plain
    assert (times[:59] == 1.0).all()
    assert times[59] == pytest.approx(1.5, abs=0.02)
    assert times[69] - 1.0 == pytest.approx((times[59] - 1.0) / 2)
    assert (times - 1.0).sum() == pytest.approx(0.5 * 10 / np.log(2), rel=1e-3)


def test_more_people_in_reach_or_a_longer_horizon_change_nobody_who_was_there() -> None:
    base = casters(adverts=ONE)
    more = casters(people=400, adverts=ONE)
    np.testing.assert_array_equal(more.knows_from_h[:300], base.knows_from_h)
    long = casters(horizon=Horizon(YEAR.start, 800, 45.0), adverts=ONE)
    np.testing.assert_array_equal(long.knows_from_h, base.knows_from_h)


def test_a_model_can_go_to_another_process_and_draws_the_same_there() -> None:
    model = BURST.build(BurstSettings.model_validate(CASTERS | {"adverts": ONE}))
    assert same(model.draw(Draw(5, 1), YEAR), pickle.loads(pickle.dumps(model)).draw(Draw(5, 1), YEAR))


@pytest.mark.parametrize(
    ("adverts", "told"),
    [
        ({"reach_share": 1}, "less than 1"),
        ({"half_life": "0 days"}, "greater than 0"),
        ({"every": "2 h"}, "greater than or equal to 1"),
        ({"between": "2026-03-01 to 2026-04-01"}, "write `every` too"),
        ({"dates": ["spring"]}, "is not a date"),
        ({"more_often_share": -1}, "greater than or equal to 0"),
        ({"reach": 0.2}, "Extra inputs are not permitted"),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused(adverts: dict[str, Any], told: str) -> None:
    with pytest.raises(ValidationError) as caught:
        BurstSettings.model_validate(CASTERS | {"adverts": adverts})
    assert told in str(caught.value)


def test_the_example_that_users_are_shown_works() -> None:
    settings = BURST.settings.model_validate(BURST.example, context={"currency": "EUR"})
    crowd = BURST.build(settings).draw(Draw(1, 0), YEAR)
    assert (crowd.knows_from_h < YEAR.hours).any()


def test_the_example_scenario_is_sound_and_adverts_are_paid_and_bring_buyers() -> None:
    assert CliRunner().invoke(app, ["check", str(EXAMPLE)]).exit_code == 0
    scenario = planner.load(EXAMPLE)
    names = [measure.name for measure in planner.run(scenario).measures]
    found = {}
    for option in scenario.options:
        played = planner.run(scenario, option=option, replicates=6)
        assert played.failures == ()
        found[option] = {
            name: played.levels.at(names.index(name)).mean for name in ("other_cost", "enquiries")
        }
    assert found["one advert"]["other_cost"] == pytest.approx(found["as today"]["other_cost"] + 15.0)
    assert found["an advert a month"]["other_cost"] == pytest.approx(
        found["as today"]["other_cost"] + 8 * 15.0
    )
    asked = [found[option]["enquiries"] for option in ("as today", "one advert", "an advert a month")]
    assert asked == sorted(asked)
    assert asked[1] > 1.1 * asked[0]


def test_the_package_is_light_to_import() -> None:
    code = "import planner_adverts, sys; sys.exit(bool({'pandas', 'scipy.stats'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
