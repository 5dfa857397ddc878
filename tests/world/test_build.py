"""Worlds: the same for the same chance, shared where options leave them alone, read-only."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest

from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario.business import Business
from planner.world.asking import told
from planner.world.build import Cache, ModelError, build, horizon_of
from planner.world.draw import Draw
from planner.world.parts import GOODS, World
from tests.small import business

REGISTRY = Registry()
PLACE = {"x": "1 km", "y": "2 km"}
CASTERS = {
    "name": "casters",
    "model": "core.returning",
    "settings": {
        "people": 12,
        "known": 5,
        "gap": {"gamma": {"mean": "40 days", "sd": "20 days"}},
        "size": "12 kg",
        "most": {"hard": {"normal": {"mean": "4.6 EUR/kg", "sd": "0.5 EUR/kg"}}},
    },
}
ANGLERS = {**CASTERS, "name": "anglers"}


def whole(**changes: Any) -> Business:
    """The small business with shops, buyers and pewter."""
    given: dict[str, Any] = {
        "supply": [town("A", "B")],
        "demand": [CASTERS],
        "rates": {"model": "core.mean_reverting"},
        "pewter": {"finds": "12 per year", "mass": {"uniform": {"low": "1 kg", "high": "3 kg"}}},
    }
    return business(**(given | changes))


def town(*shops: str, name: str = "town") -> dict[str, Any]:
    return {"name": name, "model": "core.shops", "settings": {"shops": dict.fromkeys(shops, PLACE)}}


def world(of: Business, replicate: int = 0, seed: int = 1, cache: Cache | None = None) -> World:
    return build(Draw(seed, replicate), of, models_for(REGISTRY, of), cache)


def arrays(value: Any, name: str = "") -> dict[str, np.ndarray[Any, Any]]:
    """Every array in a world, by where it stands."""
    if isinstance(value, np.ndarray):
        return {name: value}
    if is_dataclass(value):
        inner = {one.name: getattr(value, one.name) for one in fields(value)}
    elif isinstance(value, (tuple, list)):
        inner = {getattr(one, "name", str(i)): one for i, one in enumerate(value)}
    elif isinstance(value, dict):
        inner = value
    else:
        return {}
    return {at: array for key, one in inner.items() for at, array in arrays(one, f"{name}/{key}").items()}


def differing(one: World, other: World) -> set[str]:
    """Where two worlds differ, or where only one of them has something."""
    a, b = arrays(one), arrays(other)
    return (a.keys() ^ b.keys()) | {at for at in a.keys() & b.keys() if not np.array_equal(a[at], b[at])}


def test_the_same_seed_gives_the_same_world_to_the_bit() -> None:
    assert len(arrays(world(whole()))) > 40
    assert differing(world(whole()), world(whole())) == set()


def test_another_replicate_and_another_seed_give_other_worlds() -> None:
    base = world(whole())
    for other in (world(whole(), replicate=1), world(whole(), seed=2)):
        assert {"/weather/wind_m_s", "/rates/per_kg/lead", "/marks/downgraded"} <= differing(base, other)


def test_another_shop_changes_nothing_else() -> None:
    changed = differing(world(whole()), world(whole(supply=[town("C", "A", "B")])))
    assert changed
    assert all(at.startswith("/supplies/town/shops/C/") for at in changed)


def test_another_class_of_buyers_changes_nothing_else() -> None:
    changed = differing(world(whole()), world(whole(demand=[ANGLERS, CASTERS])))
    assert changed
    assert all(at.startswith("/crowds/anglers/") for at in changed)


def test_two_classes_alike_in_all_but_name_are_different_people() -> None:
    casters, anglers = world(whole(demand=[CASTERS, ANGLERS])).crowds
    assert not np.array_equal(casters.gap_h, anglers.gap_h)


def test_another_weather_changes_only_the_weather() -> None:
    still = whole(weather={"model": "core.constant"})
    assert {at.split("/")[1] for at in differing(world(whole()), world(still))} == {"weather"}


def test_more_pewter_changes_only_pewter() -> None:
    more = whole(pewter={"finds": "30 per year"})
    assert {at.split("/")[1] for at in differing(world(whole()), world(more))} == {"finds"}


def test_parts_carry_the_names_that_the_scenario_gives() -> None:
    drawn = world(whole(supply=[town("A"), town("A", name="next town")], demand=[CASTERS, ANGLERS]))
    assert [supply.name for supply in drawn.supplies] == ["town", "next town"]
    assert [crowd.name for crowd in drawn.crowds] == ["casters", "anglers"]
    one, other = (supply.shops[0] for supply in drawn.supplies)
    assert not np.array_equal(one.ready_h[:3], other.ready_h[:3])


def test_nobody_can_write_into_a_world() -> None:
    drawn = world(whole())
    writable = [at for at, array in arrays(drawn).items() if array.flags.writeable]
    assert writable == []
    with pytest.raises(ValueError, match="read-only"):
        drawn.weather.wind_m_s[0] = 0.0


def test_options_share_what_they_leave_alone() -> None:
    cache: Cache = {}
    base = world(whole(), cache=cache)
    same = world(whole(cash={"opening": "900 EUR"}), cache=cache)
    more = world(whole(supply=[town("A", "B", "C")]), cache=cache)
    assert same is base
    assert more is not base
    assert more.weather is base.weather
    assert more.crowds[0] is base.crowds[0]
    assert more.supplies[0] is not base.supplies[0]


def test_a_shared_world_is_the_world_drawn_alone() -> None:
    cache: Cache = {}
    for of in (whole(), whole(supply=[town("A", "B", "C")]), whole(demand=[ANGLERS, CASTERS])):
        assert differing(world(of, cache=cache), world(of)) == set()


def test_a_cache_never_mixes_replicates_or_horizons() -> None:
    cache: Cache = {}
    world(whole(), cache=cache)
    longer = whole(calendar={"days": 200})
    assert differing(world(whole(), replicate=1, cache=cache), world(whole(), replicate=1)) == set()
    assert differing(world(longer, cache=cache), world(longer)) == set()


def test_a_longer_calendar_keeps_every_day_there_was() -> None:
    short, long = world(whole()), world(whole(calendar={"days": 200}))
    assert np.array_equal(short.weather.temperature_c, long.weather.temperature_c[: 120 * 24])
    assert all(np.array_equal(short.rates.per_kg[good], long.rates.per_kg[good][:120]) for good in GOODS)
    assert np.array_equal(short.marks.helper_absent, long.marks.helper_absent[:120])
    assert np.array_equal(short.finds.t_h, long.finds.t_h[: short.finds.t_h.size])


def test_years_are_of_365_days_unless_days_are_given() -> None:
    calendar = whole().calendar
    years = calendar.model_copy(update={"days": None, "years": 2})
    assert horizon_of(whole()).days == 120
    assert horizon_of(whole().model_copy(update={"calendar": years})).days == 730


def test_pewter_turns_up_as_often_as_set_and_costs_by_weight() -> None:
    finds = [world(whole(weather={"model": "core.constant"}), r).finds for r in range(150)]
    counts = np.array([found.t_h.size for found in finds])
    mean = 12 * 120 / 365
    assert abs(counts.mean() - mean) < 4 * np.sqrt(mean / counts.size)
    assert all(np.allclose(found.price, 10.0 * found.mass_kg) for found in finds)
    assert world(whole(pewter={"finds": "0 per year"})).finds.t_h.size == 0


@pytest.mark.parametrize(("composition", "tin"), [("type 1", 0.92), ("type 2", 0.91), ("own", 0.5)])
def test_pewter_is_of_a_standard_composition_or_of_its_own(composition: str, tin: float) -> None:
    settings = {"finds": "60 per year", "composition": composition, "tin_share": 0.5}
    finds = world(whole(pewter=settings)).finds
    assert finds.tin_share.size > 5
    assert finds.tin_share == pytest.approx(tin)


def test_daylight_follows_latitude() -> None:
    north = world(whole(calendar={"latitude": "60 deg", "start": "2026-06-01"}))
    south = world(whole(calendar={"latitude": "-60 deg", "start": "2026-06-01"}))
    longest, shortest = (float(drawn.sunset_h[20] - drawn.sunrise_h[20]) for drawn in (north, south))
    assert longest > 18.0
    assert shortest < 6.5
    assert longest + shortest == pytest.approx(24.0, abs=1.0)  # day there, night here, but for refraction


def test_daylight_is_on_the_clock_of_the_time_zone() -> None:
    days = {"days": 300, "start": "2026-03-20", "latitude": "45 deg"}
    by_sun = world(whole(calendar={**days, "longitude": "15 deg", "time_zone": "Etc/GMT-1"}))
    by_clock = world(whole(calendar={**days, "longitude": "15 deg", "time_zone": "CET"}))
    later_h = by_clock.sunset_h - by_sun.sunset_h
    assert later_h[:9] == pytest.approx(0.0)  # until 28 March
    assert later_h[9:219] == pytest.approx(1.0)
    assert later_h[219:] == pytest.approx(0.0)  # from 25 October on
    assert by_clock.sunrise_h - by_sun.sunrise_h == pytest.approx(later_h)


def test_where_the_sun_never_sets_it_is_light_all_day_by_any_clock() -> None:
    north = world(
        whole(calendar={"latitude": "66 deg", "start": "2026-06-20", "time_zone": "CET", "days": 2})
    )
    assert north.sunrise_h.tolist() == [0.0, 0.0]
    assert north.sunset_h.tolist() == [24.0, 24.0]


def test_a_failure_is_told_in_one_line() -> None:
    impatient = {**CASTERS, "settings": {**CASTERS["settings"], "gap": "1 s"}}  # type: ignore[dict-item]
    with pytest.raises(
        ModelError,
        match=r"^demand\.casters: 12 people have about 124,416,000 needs",
    ):
        world(whole(demand=[impatient]))
    assert told(KeyError("two\nlines")) == r"KeyError: 'two\nlines'"
    assert told(RuntimeError()) == "RuntimeError: no message"
