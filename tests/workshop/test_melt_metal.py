"""What becomes of the metal: zinc, alloys, tin, cost."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.world.parts import Finds, Marks, World
from tests.small import crowd, world
from tests.workshop.books import entries, played
from tests.workshop.melts import DAYS, SATURDAYS, first, home, hourly, melted

HOT = Marks(np.zeros(DAYS), np.full(DAYS, 0.99), np.full(DAYS, 0.99))
"""Every day a cold start overheats."""


def zinced(**melting: Any) -> float:
    return melted(in_world={"marks": HOT}, melting=melting).measures["zinced_melts"]


def test_a_cold_start_under_a_strong_burner_zincs_the_pot() -> None:
    assert zinced() > 0
    assert melted().measures["zinced_melts"] == 0


def test_a_thermometer_a_heel_or_a_gentle_burner_avoids_it() -> None:
    assert zinced(thermometer=True) == 0
    assert zinced(burner={"power": "5 kW"}) == 0
    assert zinced(heel="6 kg") < zinced()


def test_hours_in_hot_metal_dissolve_zinc_and_more_of_it_without_a_thermometer() -> None:
    """A heel and a weak burner: no cold start overheats, so only hours in hot metal count."""
    slow: dict[str, Any] = {"burner": {"power": "5 kW"}, "heel": "6 kg"}

    def dissolved(**melting: Any) -> float:
        return max(melt.zinc_share for melt in melted(melting=slow | melting).melts)

    watched = dissolved(thermometer=True)
    assert 0.0 < watched < dissolved()
    assert dissolved(zinc={"unwatched_times": 1}) == watched
    assert dissolved(zinc={"unwatched_times": 15}) > 0.001


def test_a_zinced_pot_that_is_noticed_is_sold_as_such_and_otherwise_as_good() -> None:
    noticed, unnoticed = (
        melted(in_world={"marks": HOT}, melting={"zinc": {"noticed": seen}}) for seen in (True, False)
    )
    assert {melt.alloy for melt in noticed.melts} == {"zinced"}
    assert {melt.alloy for melt in unnoticed.melts} == {"mixed"}
    assert all(melt.zinced and melt.zinc_share > 0.001 for melt in unnoticed.melts)


def test_what_buyers_wait_for_is_melted_first() -> None:
    """Two piles are ready; the smaller one gives what is wanted."""
    ready = {"sorting": {"on": True, "ahead": "999 kg"}, "owner": {"priority": ["serve", "sort", "melt"]}}
    of = home(6, **ready)
    soft = {"soft": np.full((1, 1), 9.0)}
    wants = crowd(DAYS, 1, 1, most_per_kg=soft, size_kg=np.full((1, 1), 20.0), gap_h=np.full((1, 1), 1.0))
    alone = played(of, world(of, shops=(), crowds=()))
    asked = played(of, world(of, shops=(), crowds=(wants,)))
    assert first(alone).alloy == "hard"
    assert first(asked).alloy == "soft"


def test_pewter_is_blended_by_mass_balance() -> None:
    of = home(4, pewter={"use": "blended", "blend_share": 0.02}, owner={"priority": ["ask", "melt"]})
    finds = Finds(np.array([1.0]), np.array([1.5]), np.array([0.92]), np.array([15.0]))
    run = played(of, world(of, shops=(), crowds=(), finds=finds))
    blended = [melt for melt in run.melts if melt.tin_share > 0]
    tin = sum(melt.tin_share * melt.poured_kg for melt in run.melts)
    assert tin == pytest.approx(1.5 * 0.92)
    assert blended[0].tin_share == pytest.approx(0.02)
    assert run.balance is not None
    assert run.balance.pewter_kg == pytest.approx(1.5)


def test_metal_carries_the_cost_of_its_lots() -> None:
    run = melted(melting={"least_lead": "0 kg"})
    assert sum(melt.cost for melt in run.melts) == pytest.approx(4 * 12.0)


def test_costs_fall_due_by_session_melt_and_kilogram() -> None:
    run = melted(
        costs=[
            {"name": "gloves", "amount": "1 EUR", "per": "session"},
            {"name": "flux", "amount": "0.5 EUR", "per": "melt"},
            {"name": "moulds", "amount": "0.02 EUR", "per": "ingot kg"},
        ]
    )
    sessions = sum(row.what == "setting up" for row in run.hours)
    assert sum(e.amount for e in entries(run, "gloves")) == pytest.approx(-1.0 * sessions)
    assert sum(e.amount for e in entries(run, "flux")) == pytest.approx(-0.5 * len(run.melts))
    assert sum(e.amount for e in entries(run, "moulds")) == pytest.approx(-0.02 * run.measures["ingots_kg"])


def test_a_world_is_not_changed_by_looking_up_its_weather() -> None:
    of = home()
    in_world: World = world(of, shops=(), crowds=())
    before = in_world.weather.wind_m_s.copy()
    played(of, in_world)
    assert (in_world.weather.wind_m_s == before).all()


def test_no_further_pot_is_loaded_once_it_rains() -> None:
    """Rain that begins while the first pot turns solid: nothing wet falls onto its heel."""
    open_air = {"place": "open air", "light": True, "least_lead": "6 kg", "solid": "12 min", "heel": "4 kg"}
    met = 0
    for set_up in range(10, 70, 2):
        melting = open_air | {"set_up": f"{set_up} min"}
        end_h = melted(4, owner={"hours": SATURDAYS}, melting=melting).melts[0].end_h
        rain_h = int(end_h)
        if end_h - 12.0 / 60.0 > rain_h:
            continue
        met += 1
        rain_mm = np.zeros(DAYS * 24)
        rain_mm[rain_h : rain_h + 30] = 5.0
        run = melted(4, {"weather": hourly(rain_mm=rain_mm)}, owner={"hours": SATURDAYS}, melting=melting)
        assert not [melt for melt in run.melts if rain_h <= melt.t_h < rain_h + 30]
    assert met > 0
