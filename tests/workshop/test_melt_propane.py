"""Propane at the pot: what the cylinder gives and holds, what it costs, what cash pays for."""

from __future__ import annotations

import numpy as np
import pytest

from tests.small import crowd, weather, world
from tests.workshop.books import played
from tests.workshop.melts import DAYS, LOT, SATURDAYS, an_hour, first, home, hourly, melted, where, why_not


def test_lid_skirt_and_screen_save_propane_in_the_wind() -> None:
    windy = {"weather": weather(DAYS, wind_m_s=6.0)}
    bare, dressed = (
        melted(in_world=windy, melting={"lid": on, "skirt": on, "screen": on, "days": ["sat"]})
        for on in (False, True)
    )
    fuel = [run.measures["fuel_kg"] / run.measures["ingots_kg"] for run in (bare, dressed)]
    assert fuel[1] < 0.7 * fuel[0]


def test_a_cold_half_empty_cylinder_starves_a_strong_burner_and_a_second_one_helps() -> None:
    frost = {"weather": weather(DAYS, temperature_c=-8.0)}
    strong = {"burner": {"power": "30 kW"}, "days": ["sat"]}
    one, two = (melted(8, in_world=frost, melting=strong | {"cylinder": {"number": n}}) for n in (1, 2))
    assert an_hour(two) > 1.1 * an_hour(one)


def test_a_cylinder_that_empties_over_a_long_day_gives_less_towards_evening() -> None:
    frost = {"weather": weather(DAYS, temperature_c=-8.0)}
    run = melted(20, in_world=frost, melting={"burner": {"power": "20 kW"}}, owner={"hours": SATURDAYS})
    saturday = [melt for melt in run.melts if melt.t_h < 6 * 24]
    pace = [melt.heating_h / melt.charged_kg for melt in saturday]
    assert len(pace) > 2
    assert pace[-1] > 1.1 * pace[0]


def test_propane_is_paid_by_the_kilogram() -> None:
    cheap, dear = (melted(melting={"fuel_price": f"{eur} EUR/kg"}) for eur in (1, 3))
    assert dear.measures["fuel_cost"] == pytest.approx(3.0 * cheap.measures["fuel_cost"])
    assert cheap.measures["fuel_cost"] == pytest.approx(cheap.measures["fuel_kg"])


def test_without_cash_no_propane_is_bought() -> None:
    run = melted(cash={"opening": "5 EUR", "reserve": "4 EUR"})
    assert run.melts == []
    assert why_not(run) == "cash"
    saturday = {"owner": {"hours": SATURDAYS}, "melting": {"fuel_price": "20 EUR/kg"}}
    little, plenty = (melted(20, cash={"opening": f"{eur} EUR"}, **saturday) for eur in (60, 999))
    a_day = [sum(melt.charged_kg for melt in run.melts if melt.t_h < 6 * 24) for run in (little, plenty)]
    assert 0 < a_day[0] < a_day[1]
    assert little.measures["lowest_cash"] >= 0.0


def test_cash_that_comes_in_is_noticed_at_once() -> None:
    """A buyer who comes on Saturday at half past nine pays for the propane of that day."""
    poor = {
        "cash": {"opening": "19 EUR"},
        "owner": {"hours": SATURDAYS},
        "melting": {"fuel_price": "20 EUR/kg"},
    }
    lots_and_ingots = {"lots": [LOT] * 4, "hard": "20 kg"}
    of = home(0, stock=lots_and_ingots, **poor)
    pays = crowd(DAYS, 1, 1, gap_h=np.full((1, 1), 5 * 24 + 9.5))
    run = played(of, world(of, shops=(), crowds=(pays,)))
    assert first(run).t_h == pytest.approx(5 * 24 + 9.5 + 0.5 + 0.5)


def test_no_melt_burns_more_than_the_joined_cylinders_hold() -> None:
    small = {"cylinder": {"content": "0.8 kg"}, "burner": {"power": "10 kW"}}
    plenty, little, joined = (
        melted(20, owner={"hours": SATURDAYS}, melting=melting)
        for melting in (
            {"burner": {"power": "10 kW"}},
            small,
            small | {"cylinder": {"content": "0.8 kg", "number": 2}},
        )
    )
    most = [max(melt.fuel_kg for melt in run.melts) for run in (plenty, little, joined)]
    assert most[0] > 0.8
    assert most[1] <= 0.8
    assert most[1] < most[2] <= 1.6
    assert first(little).charged_kg < first(plenty).charged_kg
    assert little.measures["frozen_melts"] == 0


def test_a_cylinder_too_small_for_any_melt_is_what_holds_the_business_back() -> None:
    run = melted(melting={"cylinder": {"content": "0.1 kg"}})
    assert run.melts == []
    assert why_not(run) == "propane"
    assert run.measures["fuel_kg"] == 0.0


def test_a_cylinder_that_would_cut_a_melt_short_is_changed_before_lighting() -> None:
    cylinder = {"content": "3 kg", "swap_below_share": 0}
    saturdays = {"owner": {"hours": SATURDAYS}}
    few, one = (melted(20, melting={"cylinder": c}, **saturdays) for c in (cylinder, {"content": "50 kg"}))
    assert len(few.melts) > 10
    assert [m.charged_kg for m in few.melts] == pytest.approx([m.charged_kg for m in one.melts])


def test_a_smaller_melt_is_planned_where_cash_pays_for_no_full_one() -> None:
    melting = {"fuel_price": "40 EUR/kg", "days": ["sat"]}
    poor, rich = (melted(20, cash={"opening": f"{eur} EUR"}, melting=melting) for eur in (45, 999))
    assert first(poor).t_h == first(rich).t_h
    assert 0.0 < first(poor).charged_kg < first(rich).charged_kg
    assert poor.measures["lowest_cash"] >= 0.0


def test_whether_cash_pays_is_judged_by_the_hour_in_which_it_is_lit() -> None:
    """Wind that comes later makes the melt dearer; nobody knows that beforehand, and it is lit all the same."""
    rising = where(range(5 * 24 + 10, 6 * 24), 9.0, 1.0)
    melting = {"fuel_price": "20 EUR/kg", "burner": {"power": "5 kW"}, "days": ["sat"]}
    calm, windy = (
        melted(
            cash={"opening": "24 EUR"},
            in_world={"weather": hourly(wind_m_s=wind)},
            owner={"hours": SATURDAYS},
            melting=melting,
        )
        for wind in (np.full(DAYS * 24, 1.0), rising)
    )
    assert first(calm).t_h == first(windy).t_h
    assert first(windy).cause == "cash"
    assert windy.measures["lowest_cash"] >= -1e-9
