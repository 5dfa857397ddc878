"""Melting sessions: when the burner is lit, what keeps it off, what becomes of the metal."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from planner.workshop.result import MeltRow, Run
from planner.world.parts import Finds, Marks, Weather, World
from tests.small import business, crowd, shop, weather, world
from tests.workshop.books import entries, played

LOT = {
    "mass": "60 kg",
    "cost": "12 EUR",
    "clip_on_share": 0.6,
    "stick_on_share": 0.1,
    "zinc_share": 0.1,
    "steel_share": 0.2,
}
DAYS = 120
EVENINGS = {"mon-fri": "18:00-21:00"}
SATURDAYS = {"sat": "09:00-17:00"}


def home(lots: int = 4, **changes: Any) -> Any:
    """A business with lots at home: nobody fetches, nothing goes to the yard."""
    base = {
        "stock": {"lots": [LOT] * lots},
        "fetching": {"on": False},
        "yard": {"least": "99999 kg"},
        "melting": {"stop_above": "9999 kg"},
    }
    melting = base["melting"] | changes.pop("melting", {})
    return business(**(base | changes | {"melting": melting}))


def melted(lots: int = 4, in_world: dict[str, Any] | None = None, **changes: Any) -> Run:
    of = home(lots, **changes)
    return played(of, world(of, **({"shops": (), "crowds": ()} | (in_world or {}))))


def hourly(days: int = DAYS, **columns: np.ndarray) -> Weather:
    """15 degC, 2 m/s, dry, but for what is given."""
    n = days * 24
    same = {"temperature_c": np.full(n, 15.0), "wind_m_s": np.full(n, 2.0), "rain_mm": np.zeros(n)}
    return Weather.rounded(**(same | columns), sun_w_m2=np.zeros(n))


def where(hours: range | list[int], value: float, otherwise: float) -> np.ndarray:
    column = np.full(DAYS * 24, otherwise)
    column[list(hours)] = value
    return column


def lit(run: Run) -> list[float]:
    """Hour of day at which each melt was lit."""
    return [melt.t_h % 24.0 for melt in run.melts]


def an_hour(run: Run) -> float:
    """Ingots for each hour at the pot [kg/h]."""
    return run.measures["ingots_kg"] / run.measures["melt_hours_h"]


def first(run: Run) -> MeltRow:
    return run.melts[0]


def why_not(run: Run) -> str:
    """What the free hours were lost to most."""
    lost = {
        name: value
        for name, value in run.measures.items()
        if name.startswith("lost_") and name.endswith("_h")
    }
    return max(lost, key=lambda name: lost[name]).removeprefix("lost_").removesuffix("_h")


# -- the pot and the burner --------------------------------------------------------------------------------------------


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


# -- weather and place -------------------------------------------------------------------------------------------------


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


# -- what is refused ---------------------------------------------------------------------------------------------------


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


def test_without_cash_no_propane_is_bought() -> None:
    run = melted(cash={"opening": "5 EUR", "reserve": "4 EUR"})
    assert run.melts == []
    assert why_not(run) == "cash"
    saturday = {"owner": {"hours": SATURDAYS}, "melting": {"fuel_price": "20 EUR/kg"}}
    little, plenty = (melted(20, cash={"opening": f"{eur} EUR"}, **saturday) for eur in (60, 999))
    a_day = [sum(melt.t_h < 6 * 24 for melt in run.melts) for run in (little, plenty)]
    assert 0 < a_day[0] < a_day[1]
    assert little.measures["lowest_cash"] >= 0.0


def test_cash_that_comes_in_is_noticed_at_once() -> None:
    """A buyer who comes on Saturday at half past nine pays for the propane of that day."""
    poor = {
        "cash": {"opening": "30 EUR"},
        "owner": {"hours": SATURDAYS},
        "melting": {"fuel_price": "20 EUR/kg"},
    }
    lots_and_ingots = {"lots": [LOT] * 4, "hard": "20 kg"}
    of = home(0, stock=lots_and_ingots, **poor)
    pays = crowd(DAYS, 1, 1, gap_h=np.full((1, 1), 5 * 24 + 9.5))
    run = played(of, world(of, shops=(), crowds=(pays,)))
    assert first(run).t_h == pytest.approx(5 * 24 + 9.5 + 0.5 + 0.5)


# -- hours -------------------------------------------------------------------------------------------------------------


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


# -- helper ------------------------------------------------------------------------------------------------------------


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


# -- zinc, alloys, tin, cost -------------------------------------------------------------------------------------------

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
