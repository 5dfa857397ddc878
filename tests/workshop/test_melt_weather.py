"""Sessions at the pot and the weather: what waits for it, what it breaks off."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from tests.small import weather, world
from tests.workshop.books import played
from tests.workshop.melts import (
    DAYS,
    EVENINGS,
    SATURDAYS,
    an_hour,
    first,
    home,
    hourly,
    lit,
    melted,
    where,
    why_not,
)


def test_wind_slows_melting() -> None:
    still, windy = (melted(in_world={"weather": weather(DAYS, wind_m_s=w)}) for w in (0.0, 8.0))
    assert an_hour(windy) < 0.8 * an_hour(still)


def test_wind_in_which_it_would_never_melt_is_said_to_be_the_weather_and_a_weak_burner_the_burner() -> None:
    gale, hours = {"weather": weather(DAYS, wind_m_s=9.9)}, {"hours": SATURDAYS}
    windy = melted(in_world=gale, melting={"burner": {"power": "3 kW"}}, owner=hours)
    weak = melted(melting={"burner": {"power": "1.2 kW"}}, owner=hours)
    assert windy.melts == weak.melts == []
    assert why_not(windy) == "weather"
    assert why_not(weak) == "burner"


def test_rain_stops_work_in_the_open_and_not_under_a_roof() -> None:
    wet = {"weather": weather(DAYS, rain_mm=1.0)}
    opened, roofed = (melted(in_world=wet, melting={"place": place}) for place in ("open air", "roof"))
    assert opened.melts == []
    assert why_not(opened) == "weather"
    assert len(roofed.melts) > 0


def test_nobody_lights_up_in_too_much_wind_or_frost() -> None:
    gale = melted(in_world={"weather": weather(DAYS, wind_m_s=12.0)}, melting={"most_wind": "10 m/s"})
    frost = melted(in_world={"weather": weather(DAYS, temperature_c=-12.0)}, melting={"coldest": "-10 degC"})
    assert gale.melts == frost.melts == []
    assert why_not(gale) == why_not(frost) == "weather"


def test_the_owner_waits_for_the_rain_to_stop() -> None:
    until_noon = [day * 24 + hour for day in range(DAYS) for hour in range(12)]
    run = melted(
        in_world={"weather": hourly(rain_mm=where(until_noon, 1.0, 0.0))},
        owner={"hours": SATURDAYS},
        melting={"place": "open air"},
    )
    assert min(lit(run)) == pytest.approx(12.5)


def rained_off(at_hour: int, **changes: Any) -> Run:
    """Rain on the first Saturday only, from an hour on until night."""
    rain = where(range(5 * 24 + at_hour, 6 * 24), 1.0, 0.0)
    melting = {"place": "open air", "burner": {"power": "5 kW"}} | changes.pop("melting", {})
    return melted(
        in_world={"weather": hourly(rain_mm=rain)}, owner={"hours": SATURDAYS}, melting=melting, **changes
    )


def test_a_melt_that_rain_breaks_off_freezes_its_fuel_is_lost_and_the_next_starts_from_there() -> None:
    run = rained_off(11)
    broken, then = run.melts[:2]
    assert broken.cause == "weather"
    assert broken.poured_kg == 0.0
    assert broken.fuel_kg > 0.1
    assert broken.in_pot_kg == pytest.approx(broken.charged_kg)
    assert broken.end_h == pytest.approx(5 * 24 + 11 + 8 / 60)
    assert then.t_h > broken.end_h + 24.0
    assert then.poured_kg > 0.5 * broken.charged_kg
    dry = melted(owner={"hours": SATURDAYS}, melting={"place": "open air", "burner": {"power": "5 kW"}})
    assert run.measures["fuel_kg"] > dry.measures["fuel_kg"]
    assert run.measures["frozen_melts"] == 1


def test_what_froze_is_melted_although_no_weights_are_left() -> None:
    run = rained_off(
        11, lots=1, melting={"burner": {"power": "8 kW"}, "pot": {"height": "45 cm"}, "stand": "300 kg"}
    )
    broken, then = run.melts
    assert broken.cause == "weather"
    assert then.loads == 0
    assert then.poured_kg > 30.0


def test_under_a_roof_the_same_rain_breaks_nothing_off() -> None:
    assert rained_off(11, melting={"place": "roof"}).measures["frozen_melts"] == 0


def test_rain_that_comes_while_setting_up_costs_the_setting_up_and_no_fuel() -> None:
    noon = 5 * 24 + 12
    rain = where([*range(5 * 24, noon - 1), *range(noon, 6 * 24)], 1.0, 0.0)
    run = melted(
        in_world={"weather": hourly(rain_mm=rain)},
        owner={"hours": {"sat": "11:45-17:00"}},
        melting={"place": "open air", "set_up": "30 min"},
    )
    assert any(note.what == "not lit" for note in run.notes)
    first_day = [row.what for row in run.hours if row.t_h < 6 * 24]
    assert first_day == ["setting up", "cleaning up"]
    assert all(melt.t_h > 6 * 24 for melt in run.melts)


def test_a_pot_that_rain_overtakes_while_it_is_filled_stays_cold_and_is_no_melt() -> None:
    rain = where([*range(5 * 24, 5 * 24 + 11), *range(5 * 24 + 13, 6 * 24)], 1.0, 0.0)
    run = melted(
        in_world={"weather": hourly(rain_mm=rain)},
        owner={"hours": {"sat": "11:45-20:00"}},
        melting={"place": "open air", "set_up": "30 min", "load": "50 min"},
    )
    cold = first(run)
    assert (cold.cause, cold.lit, cold.fuel_kg) == ("weather", False, 0.0)
    assert cold.in_pot_kg > 0.0
    of_it = sum(melt.lit for melt in run.melts)
    assert of_it == len(run.melts) - 1
    assert run.measures["melts"] == pytest.approx(of_it)
    assert run.measures["frozen_melts"] == 0.0


def test_wind_that_rises_later_can_leave_too_little_time() -> None:
    wind = where(range(5 * 24 + 11, 6 * 24), 9.0, 1.0)
    run = melted(
        in_world={"weather": hourly(wind_m_s=wind)},
        owner={"hours": SATURDAYS},
        melting={"burner": {"power": "4 kW"}, "slack_share": 0},
    )
    assert first(run).cause == "hours"
    assert first(run).end_h <= 5 * 24 + 17 - 0.5 + 1e-9


def test_a_roof_lets_more_be_melted_than_the_open_air() -> None:
    chance = np.random.default_rng(1)
    n = DAYS * 24
    rain = np.where(chance.random(n) < 0.15, 1.0, 0.0)
    changing = {"weather": hourly(rain_mm=rain, wind_m_s=chance.weibull(2, n) * 5)}
    opened, roofed = (
        melted(80, in_world=changing, melting={"place": place, "wind_at_pot_share": share})
        for place, share in (("open air", 0.4), ("roof", 0.2))
    )
    assert roofed.measures["ingots_kg"] > 1.2 * opened.measures["ingots_kg"]
    assert roofed.measures["frozen_melts"] < opened.measures["frozen_melts"]


def test_without_light_the_pot_is_lit_in_daylight_only() -> None:
    winter = {"calendar": {"days": 30, "start": "2026-12-01"}, "owner": {"hours": EVENINGS}}
    dark, light = (melted(melting={"light": on}, **winter) for on in (False, True))
    assert dark.melts == []
    assert why_not(dark) == "daylight"
    assert len(light.melts) > 0


def test_without_light_melts_end_by_sunset_and_begin_after_sunrise() -> None:
    early = {"calendar": {"days": 60, "start": "2026-02-01"}, "owner": {"hours": {"sat": "05:00-22:00"}}}
    of = home(20, melting={"light": False}, **early)
    in_world = world(of, shops=(), crowds=())
    run = played(of, in_world)
    assert len(run.melts) > 3
    for melt in run.melts:
        day = int(melt.t_h // 24)
        assert 24.0 * day + in_world.sunrise_h[day] - 1e-9 <= melt.t_h
        assert melt.end_h <= 24.0 * day + in_world.sunset_h[day] + 1e-9
    assert run.measures["lost_daylight_h"] > 0
