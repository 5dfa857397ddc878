"""Sessions at the pot: pots and burners, what is refused, hours, a helper."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Marks
from tests.small import business, crowd, shop, world
from tests.workshop.books import played
from tests.workshop.melts import DAYS, SATURDAYS, an_hour, first, home, hourly, melted, where, why_not


def test_lots_become_ingots_clips_dross_and_rubbish() -> None:
    run = melted()
    assert run.measures["ingots_kg"] > 100.0
    assert run.balance is not None
    assert run.balance.clips_kg > 60.0
    assert 0.01 < run.balance.dross_kg / run.measures["ingots_kg"] < 0.03


def test_a_bigger_pot_on_the_same_small_burner_melts_slower() -> None:
    small = {"burner": {"power": "6 kW"}, "days": ["sat"]}
    pot = {"diameter": "25 cm", "height": "20 cm", "mass": "5 kg"}
    wide = {"diameter": "35 cm", "height": "20 cm", "mass": "9 kg", "lead_at_most": "70 kg"}
    narrow, broad = (melted(melting=small | {"pot": p}) for p in (pot, wide))
    heating = [sum(m.heating_h for m in run.melts) / run.measures["ingots_kg"] for run in (narrow, broad)]
    assert heating[1] > 1.2 * heating[0]


def test_a_bigger_burner_melts_faster_until_moulds_and_hands_are_the_limit() -> None:
    pace = [an_hour(melted(8, melting={"burner": {"power": f"{kw} kW"}})) for kw in (4, 10, 20, 40)]
    assert pace == sorted(pace)
    assert pace[1] / pace[0] > 1.7
    assert pace[3] / pace[2] < 1.25


def test_more_moulds_help_a_strong_burner() -> None:
    few, many = (
        melted(8, melting={"burner": {"power": "16 kW"}, "moulds": {"count": n, "holds": "1 kg"}})
        for n in (2, 8)
    )
    assert an_hour(many) > 1.3 * an_hour(few)


def test_a_second_pot_saves_hours_on_a_small_burner() -> None:
    one, two = (melted(8, melting={"burner": {"power": "4 kW"}, "pots": n, "days": ["sat"]}) for n in (1, 2))
    assert an_hour(two) > 1.3 * an_hour(one)


def test_a_heel_speeds_the_next_melt() -> None:
    without, heel = (melted(8, melting={"burner": {"power": "5 kW"}, "heel": f"{kg} kg"}) for kg in (0, 5))
    hours = [
        sum(m.heating_h for m in run.melts[1:]) / sum(m.charged_kg for m in run.melts[1:])
        for run in (without, heel)
    ]
    assert hours[1] < 0.9 * hours[0]
    assert heel.melts[-1].in_pot_kg == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("melting", "limit"),
    [
        ({"place": "enclosed"}, "place"),
        ({"place": "enclosed", "extraction": True}, "place"),
        ({"place": "enclosed", "co_alarm": True}, "place"),
        ({"stand": "50 kg"}, "stand"),
        ({"pot_moved_full": True}, "pot"),
    ],
)
def test_nothing_is_melted_against_a_hard_limit(melting: dict[str, Any], limit: str) -> None:
    run = melted(melting=melting)
    assert run.melts == []
    assert run.measures["fuel_kg"] == 0.0
    assert why_not(run) == limit


def test_an_enclosed_place_with_extraction_and_alarm_is_allowed() -> None:
    assert melted(melting={"place": "enclosed", "extraction": True, "co_alarm": True}).melts


def wet_lots(**melting: Any) -> Run:
    of = business(melting=melting)
    return played(of, world(of, shops=(shop(wet=np.ones(12, bool)),), crowds=()))


def test_wet_weights_dry_before_they_go_near_molten_metal() -> None:
    run = wet_lots(dry="9 days", dry_off="1000 m")
    bought = {lot.lot: lot.t_h for lot in run.lots}
    assert len(run.melts) > 3
    for melt in run.melts:
        assert all(melt.t_h >= bought[lot] + 9 * 24.0 for lot, _ in melt.lots)
    assert run.measures["lost_wet_h"] > 0


def test_wet_weights_that_are_never_dried_are_never_melted() -> None:
    run = wet_lots(dry_first=False)
    assert len(run.lots) > 3
    assert run.melts == []
    assert run.measures["lost_wet_h"] > 0
    assert any("wet: refused" in note.cause for note in run.notes)


def test_a_lot_that_dries_while_the_owner_is_free_is_melted_then() -> None:
    of = business(
        melting={"dry": "0.25 days", "dry_off": "1000 m", "burner": {"power": "16 kW"}},
        owner={"hours": {"sat": "00:00-24:00"}},
    )
    run = played(of, world(of, shops=(shop(wet=np.ones(12, bool)),), crowds=()))
    assert first(run).t_h == pytest.approx(run.lots[0].t_h + 6.0 + 0.5)


def test_a_short_evening_is_nearly_useless_and_a_long_saturday_is_good() -> None:
    """The same eight hours a week."""
    small = {"burner": {"power": "4 kW"}}
    evenings = melted(20, owner={"hours": {"mon-thu": "18:00-20:00"}}, melting=small)
    saturday = melted(20, owner={"hours": SATURDAYS}, melting=small)
    assert evenings.measures["ingots_kg"] < 0.2 * saturday.measures["ingots_kg"]
    assert evenings.melts == [] or an_hour(evenings) < 0.6 * an_hour(saturday)


def test_a_melt_is_not_lit_unless_it_can_be_finished() -> None:
    run = melted(owner={"hours": {"mon-fri": "18:00-19:15"}})
    assert run.melts == []
    assert why_not(run) == "hours"
    steady = melted(20)
    assert all(melt.cause == "" for melt in steady.melts)


def test_every_session_has_its_setting_up_and_cleaning_up() -> None:
    run = melted(melting={"set_up": "40 min", "clean_up": "20 min"})
    rows = [row for row in run.hours if row.what in ("setting up", "melting", "cleaning up")]
    sessions = [row for row in rows if row.what == "setting up"]
    assert len(sessions) == sum(row.what == "cleaning up" for row in rows) > 1
    assert all(row.end_h - row.t_h == pytest.approx(40 / 60) for row in sessions)
    for before, after in pairwise(rows):
        if after.what != "setting up":
            assert after.t_h == pytest.approx(before.end_h)
    assert run.measures["melt_hours_h"] == pytest.approx(sum(row.end_h - row.t_h for row in rows))


def test_gear_that_stays_set_up_saves_hours() -> None:
    hauled, stays = (melted(melting={"set_up": f"{m} min", "clean_up": f"{m} min"}) for m in (30, 5))
    assert an_hour(stays) > 1.15 * an_hour(hauled)


def test_pot_follows_pot_while_they_fit() -> None:
    run = melted(8, owner={"hours": SATURDAYS})
    a_day: dict[int, int] = {}
    for melt in run.melts:
        a_day[int(melt.t_h // 24)] = a_day.get(int(melt.t_h // 24), 0) + 1
    assert max(a_day.values()) > 1


def test_the_owner_melts_on_the_days_that_are_set() -> None:
    run = melted(8, melting={"days": ["sat"]})
    assert {int(melt.t_h // 24) % 7 for melt in run.melts} == {5}


def test_on_single_days_nothing_is_melted_and_all_else_goes_on() -> None:
    run = melted(8, owner={"hours": SATURDAYS})
    day = int(first(run).t_h // 24)
    off = melted(
        8, owner={"hours": SATURDAYS}, melting={"not_on": f"{date(2026, 3, 2) + timedelta(days=day)}"}
    )
    assert next(int(melt.t_h // 24) for melt in off.melts) == day + 7
    assert off.measures["free_hours_h"] == pytest.approx(run.measures["free_hours_h"])
    assert [row for row in off.limits if int(row.t_h // 24) == day and row.limit == "hours"]


def test_a_night_past_midnight_belongs_to_the_day_on_which_it_began() -> None:
    """A gale until Saturday half past midnight: whoever melts on Fridays lights up then, with Friday's helper."""
    gale = where(range(24 * 5), 15.0, 1.0)
    night: dict[str, Any] = {
        "in_world": {"weather": hourly(wind_m_s=gale)},
        "owner": {"hours": {"fri": "20:00-06:00"}},
        "helper": {"wage": "5 EUR/h", "days": ["fri"], "absent_share": 0},
    }
    fridays, saturdays = (
        melted(melting={"days": [day], "place": "open air"}, **night) for day in ("fri", "sat")
    )
    assert 24.0 * 5 < first(fridays).t_h < 24.0 * 5 + 2
    assert fridays.measures["helper_hours_h"] > 0.0
    assert saturdays.melts == []


def test_no_more_is_melted_than_can_be_sold() -> None:
    run = melted(20, melting={"stop_above": "60 kg"})
    assert 60.0 <= run.measures["ingots_kg"] < 60.0 + 70.0
    assert why_not(run) == "buyers"


def test_what_is_promised_to_buyers_is_melted_for_all_the_same() -> None:
    stop = {"stop_above": "20 kg"}
    of = home(10, melting=stop)
    big = crowd(DAYS, people=1, needs=1, size_kg=np.full((1, 1), 150.0), patience_h=np.full((1, 1), 1e4))
    wanted = played(of, world(of, shops=(), crowds=(big,)))
    assert wanted.measures["ingots_kg"] > melted(10, melting=stop).measures["ingots_kg"] + 100.0


def test_a_helper_speeds_up_the_hands_is_paid_for_it_and_sometimes_does_not_come() -> None:
    strong = {"burner": {"power": "16 kW"}, "days": ["sat"]}
    helper = {"wage": "12 EUR/h", "days": ["sat"], "absent_share": 0.1, "hands": 1.8}
    alone, helped = melted(8, melting=strong), melted(8, melting=strong, helper=helper)
    assert an_hour(helped) > 1.1 * an_hour(alone)
    assert helped.measures["wages_cost"] == pytest.approx(12.0 * helped.measures["helper_hours_h"])
    assert helped.measures["helper_hours_h"] == pytest.approx(helped.measures["melt_hours_h"])
    away = {"marks": Marks(np.full(DAYS, 0.99), np.full(DAYS, 0.05), np.full(DAYS, 0.99))}
    missed = melted(8, in_world=away, melting=strong, helper=helper)
    assert missed.measures["wages_cost"] == 0.0
    assert an_hour(missed) == pytest.approx(an_hour(alone))
