from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.trade.heat import (
    Charge,
    Heat,
    HeatTable,
    HourRow,
    advance,
    enthalpy_j,
    heat_at,
    heating_h,
    net_power_w,
    never_melts,
    stalls_at_c,
    useful_power_w,
)
from planner.trade.heat_table import GRID_C
from planner.trade.stove import Stove, loss_parts_w, net_powers_w
from tests.trade.charges import numbers
from tests.trade.stoves import STOVE

Weather = Sequence[tuple[float, float]]

SMALL = replace(STOVE, burner_w=3_000.0)


def load(lead_kg: float, steel_kg: float, pot_kg: float = 5.0) -> Charge:
    """Rounded capacities, for tests only: lead 128 and 147, steel 480 J/kg/K; 23.07 kJ/kg of fusion."""
    steel = 480.0 * (steel_kg + pot_kg)
    return Charge(128.0 * lead_kg + steel, 147.0 * lead_kg + steel, 23_070.0 * lead_kg, 300.0)


BUCKETFUL = load(25.0, 8.0)


def rows_of(table: HeatTable, weather: Weather, fill_share: float) -> Callable[[int], HourRow]:
    return lambda hour: table.hour(*weather[hour % len(weather)], fill_share)


@dataclass(frozen=True)
class Case:
    stove: Stove
    charge: Charge
    begin: Heat
    weather: Weather
    fill_share: float
    lid: bool
    target_c: float
    burning: bool = True

    def closed(self, hours_h: float) -> tuple[float, Heat, bool]:
        rows = rows_of(HeatTable(self.stove, self.lid), self.weather, self.fill_share)
        mode = "burning" if self.burning else "off"
        return advance(rows, self.charge, self.begin, 0.25, 0.25 + hours_h, self.target_c, mode)

    def power_w(self, temperature_c: float, hour: int, pool: bool) -> float:
        air_c, wind_m_s = self.weather[hour % len(self.weather)]
        kind = {"burning": self.burning, "pool": pool, "lid": self.lid}
        return net_power_w(self.stove, temperature_c, air_c, wind_m_s, self.fill_share, **kind)

    def stepped(self, hours_h: float, step_s: float = 5.0) -> tuple[float, Heat, bool]:
        """Plain integration of the heat content, no tables, no formulas in time."""
        charge, heat = self.charge, self.begin
        target_in_j = charge.latent_j if self.burning else 0.0
        at_target = Heat(self.target_c, 0.0 if self.target_c < charge.melting_c else charge.latent_j, True)
        if self.target_c == charge.melting_c:
            at_target = Heat(self.target_c, target_in_j, True)
        goal_j = enthalpy_j(charge, at_target)
        held_j = enthalpy_j(charge, heat)
        for step in range(round(hours_h * 3600.0 / step_s)):
            hour = int((900.0 + step * step_s) // 3600.0)
            pool = heat.pool
            if self.burning and heat.temperature_c >= charge.melting_c:
                pool = pool or heat.latent_in_j >= self.stove.pool_share * charge.latent_j
            power_w = self.power_w(heat.temperature_c, hour, pool)
            before_j, held_j = held_j, held_j + power_w * step_s
            heat = heat_at(charge, held_j, pool)
            if (held_j >= goal_j) if self.burning else (held_j <= goal_j):
                part = (goal_j - before_j) / (held_j - before_j)
                return 0.25 + (step + part) * step_s / 3600.0, heat, True
        return 0.25 + hours_h, heat, False


halves = st.integers(-20, 60).map(lambda n: n / 2)
tenths = st.integers(0, 80).map(lambda n: n / 10)
shares = st.sampled_from([0.25, 0.5, 0.75, 1.0])
stoves = st.builds(
    replace,
    st.just(STOVE),
    pot_diameter_m=st.floats(0.18, 0.4),
    pot_height_m=st.floats(0.1, 0.3),
    burner_w=st.floats(2_000.0, 16_000.0),
    efficiency_share=st.floats(0.3, 0.58),
    gas_c=st.floats(800.0, 1300.0),
    wind_half_m_s=st.floats(1.0, 4.0),
    wind_at_pot_share=st.floats(0.1, 0.5),
    contact_share=st.floats(0.5, 1.0),
    gas_cover_share=st.floats(0.6, 1.0),
    emissivity_top=st.floats(0.2, 0.9),
)
charges = st.builds(load, st.floats(5.0, 40.0), st.floats(0.0, 20.0), st.floats(2.0, 9.0))
weathers = st.lists(st.tuples(halves, tenths), min_size=3, max_size=8)


def agree(case: Case, hours_h: float) -> None:
    end_h, heat, reached = case.closed(hours_h)
    exact_h, exact, exact_reached = case.stepped(hours_h)
    assert reached == exact_reached, (end_h, exact_h, heat, exact)
    if reached:
        assert end_h == pytest.approx(exact_h, abs=max(0.02, 0.01 * (exact_h - 0.25)))
    else:
        assert heat.temperature_c == pytest.approx(exact.temperature_c, abs=1.5)
        assert heat.latent_in_j == pytest.approx(exact.latent_in_j, abs=0.02 * case.charge.latent_j + 1.0)


@settings(max_examples=40, deadline=None)
@given(stoves, charges, weathers, shares, st.booleans(), st.sampled_from([250.0, 300.0, 370.0, 420.0]))
def test_closed_form_agrees_with_steps_of_five_seconds_while_burning(
    stove: Stove, charge: Charge, weather: Weather, fill_share: float, lid: bool, target_c: float
) -> None:
    case = Case(stove, charge, Heat(weather[0][0], 0.0, False), weather, fill_share, lid, target_c)
    margins = [
        abs(case.power_w(t, hour, pool))
        for hour in range(len(weather))
        for t in (300.0, target_c)
        for pool in (False, True)
    ]
    assume(min(margins) > 40.0)  # a pot that only just gets there may take any time
    agree(case, 6.0)


@settings(max_examples=20, deadline=None)
@given(stoves, charges, weathers, st.booleans(), st.sampled_from([350.0, 300.0, 200.0, 60.0]))
def test_closed_form_agrees_with_steps_of_five_seconds_while_cooling(
    stove: Stove, charge: Charge, weather: Weather, lid: bool, target_c: float
) -> None:
    hot = Heat(380.0, charge.latent_j, True)
    assume(target_c > 35.0 + max(air_c for air_c, _ in weather))
    agree(Case(stove, charge, hot, weather, 1.0, lid, target_c, burning=False), 6.0)


def test_closed_form_follows_a_pot_that_freezes_again_in_a_windy_hour() -> None:
    weather = [(10.0, 0.3), (10.0, 0.3), (-5.0, 15.0), (-5.0, 15.0), (10.0, 0.5), (10.0, 0.5)]
    case = Case(SMALL, load(18.0, 4.0), Heat(10.0, 0.0, False), weather, 0.75, False, 420.0)
    assert case.power_w(300.0, 2, True) < -50.0
    molten = case.closed(1.5)[1]
    assert molten.temperature_c > 300.0
    for hours_h in (1.5, 2.0, 2.5, 3.0, 3.75, 4.25, 5.5):
        agree(case, hours_h)
    frozen = case.closed(3.75)[1]
    assert frozen.temperature_c < 300.0
    assert frozen.latent_in_j == 0.0


@settings(max_examples=60, deadline=None)
@given(
    stoves,
    halves,
    tenths,
    st.one_of(st.floats(-20.0, 299.0), st.just(300.0), st.floats(301.0, 400.0)),
    st.floats(0.0, 1.0),
    st.booleans(),
    st.sampled_from([120.0, 299.99, 300.0, 370.0]),
)
def test_the_time_to_heat_is_that_of_heating_bit_by_bit(
    stove: Stove, air_c: float, wind_m_s: float, begin_c: float, molten: float, pool: bool, target_c: float
) -> None:
    """From wherever it starts, also where the wind would rather cool it."""
    row = HeatTable(stove).hour(air_c, wind_m_s, 1.0)
    latent_in_j = BUCKETFUL.latent_j * (molten if begin_c == 300.0 else float(begin_c > 300.0))
    heat = Heat(begin_c, latent_in_j, pool or begin_c > 300.0)
    expected_h = heating_h(row, BUCKETFUL, heat, target_c)
    assert expected_h >= 0.0
    t_h, reached = 0.0, False
    while not reached and t_h < 8.0:
        t_h, heat, reached = advance(lambda _: row, BUCKETFUL, heat, t_h, t_h + 0.05, target_c, "burning")
    assert reached is (expected_h <= t_h + 1e-6)
    if reached:
        assert t_h == pytest.approx(expected_h, abs=1e-6)


@pytest.mark.parametrize("wind_m_s", [0.3, 2.0, 5.0, 8.0])
@pytest.mark.parametrize("burner_w", [1_500.0, 3_000.0, 10_000.0])
def test_both_say_the_same_about_whether_it_ever_melts(burner_w: float, wind_m_s: float) -> None:
    stove = replace(STOVE, burner_w=burner_w)
    case = Case(stove, load(10.0, 5.0), Heat(5.0, 0.0, False), [(5.0, wind_m_s)], 1.0, False, 300.0)
    row = HeatTable(stove).hour(5.0, wind_m_s, 1.0)
    reached = case.stepped(30.0, step_s=20.0)[2]
    assert never_melts(row, 300.0) is not reached
    assert (heating_h(row, case.charge, case.begin, 300.0) < inf) is reached
    assert case.closed(30.0)[2] is reached


def test_what_cannot_melt_ends_on_time_short_of_its_stall() -> None:
    row = HeatTable(replace(STOVE, burner_w=1_500.0)).hour(0.0, 6.0, 0.5)
    stall_c = stalls_at_c(row)
    end_h, heat, reached = advance(
        lambda _hour: row, BUCKETFUL, Heat(0.0, 0.0, False), 3.5, 400.0, 350.0, "burning"
    )
    assert (end_h, reached) == (400.0, False)
    assert stall_c - 1.0 < heat.temperature_c <= stall_c + 1e-6
    assert heating_h(row, BUCKETFUL, Heat(0.0, 0.0, False), 350.0) == inf


@settings(max_examples=30, deadline=None)
@given(stoves, halves, tenths, shares, st.booleans())
def test_a_hotter_pot_always_keeps_less_heat_so_it_can_stall_only_once(
    stove: Stove, air_c: float, wind_m_s: float, fill_share: float, lid: bool
) -> None:
    warm = np.linspace(-40.0, 540.0, 120)
    for burning, pool in ((True, False), (True, True), (False, True)):
        kind = {"burning": burning, "pool": pool, "lid": lid}
        powers = [net_power_w(stove, float(t), air_c, wind_m_s, fill_share, **kind) for t in warm]
        assert (np.diff(powers) < 0.0).all()


def test_rows_miss_net_power_by_less_than_a_watt_or_two_in_a_thousand() -> None:
    row = HeatTable(SMALL).hour(5.0, 2.0, 0.75)
    for t in np.arange(20.0, 541.0, 3.7).tolist():
        for curve, burning, pool in (
            (row.loose, True, False),
            (row.pooled, True, True),
            (row.off, False, True),
        ):
            exact = net_power_w(SMALL, t, 5.0, 2.0, 0.75, burning=burning, pool=pool, lid=False)
            assert curve.at(t) == pytest.approx(exact, abs=1.0, rel=2e-3)


@settings(max_examples=40, deadline=None)
@given(stoves, halves, tenths, st.floats(-20.0, 500.0), st.floats(1e-4, 3.0))
def test_time_spent_and_temperature_reached_are_inverse(
    stove: Stove, air_c: float, wind_m_s: float, start_c: float, budget_k_per_w: float
) -> None:
    row = HeatTable(stove).hour(air_c, wind_m_s, 0.75)
    for curve in (row.loose, row.pooled, row.off):
        if abs(curve.at(start_c)) < 5.0:
            continue
        warming = curve.at(start_c) > 0.0
        spent, end_c = curve.along(start_c, inf if warming else -inf, budget_k_per_w, warming)
        assert spent == budget_k_per_w
        assert (end_c > start_c) is warming
        if abs(curve.at(end_c)) > 1.0:
            again = abs(curve.spent(end_c, warming) - curve.spent(start_c, warming))
            assert again == pytest.approx(budget_k_per_w, rel=1e-6)


def melting_time_h(stove: Stove, wind_m_s: float = 1.0, lid: bool = False, air_c: float = 10.0) -> float:
    row = HeatTable(stove, lid).hour(air_c, wind_m_s, 0.75)
    return heating_h(row, BUCKETFUL, Heat(air_c, 0.0, False), 370.0)


def test_wind_slows_a_melt_and_still_air_never_does() -> None:
    times = [melting_time_h(STOVE, wind_m_s) for wind_m_s in (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)]
    assert times == sorted(times)
    assert times[0] < times[-1] / 1.8


def test_a_stronger_burner_melts_faster_until_the_cylinder_limits_it() -> None:
    times = [melting_time_h(replace(STOVE, burner_w=w)) for w in (4e3, 7e3, 10e3, 14e3)]
    assert times == sorted(times, reverse=True)
    assert len(set(times)) == 4
    assert melting_time_h(replace(STOVE, burner_w=60e3)) == melting_time_h(replace(STOVE, burner_w=90e3))


def test_a_lid_a_skirt_and_a_screen_each_help() -> None:
    plain = melting_time_h(STOVE, 3.0)
    assert melting_time_h(STOVE, 3.0, lid=True) < plain
    assert melting_time_h(replace(STOVE, efficiency_share=0.5), 3.0) < plain
    assert melting_time_h(replace(STOVE, wind_at_pot_share=0.1), 3.0) < plain


def test_a_bigger_pot_on_the_same_burner_melts_slower() -> None:
    big = replace(SMALL, pot_diameter_m=0.33, pot_height_m=0.2)
    assert melting_time_h(big, 0.5) > 1.15 * melting_time_h(SMALL, 0.5)


def test_a_warm_day_beats_a_frosty_one() -> None:
    assert melting_time_h(STOVE, air_c=25.0) < melting_time_h(STOVE, air_c=-10.0)


def test_a_heel_melts_the_next_load_about_one_and_a_half_to_two_times_faster() -> None:
    row = HeatTable(STOVE).hour(10.0, 0.5, 0.75)
    loose = heating_h(row, BUCKETFUL, Heat(10.0, 0.0, False), 370.0)
    touching = heating_h(row, BUCKETFUL, Heat(10.0, 0.0, True), 370.0)
    assert 1.4 < loose / touching < 2.0


def test_contact_gets_good_once_a_pool_has_formed_and_stays_so_when_it_freezes() -> None:
    row = HeatTable(STOVE).hour(10.0, 0.5, 0.75)

    def at(part: float) -> Heat:
        loose_h = heating_h(row, BUCKETFUL, Heat(10.0, 0.0, False), 299.999)
        plateau_h = BUCKETFUL.latent_j / row.loose.at(300.0) / 3600.0
        return advance(
            lambda _: row,
            BUCKETFUL,
            Heat(10.0, 0.0, False),
            0.0,
            loose_h + part * plateau_h,
            400.0,
            "burning",
        )[1]

    assert not at(0.19).pool
    assert at(0.21).pool
    frozen = advance(lambda _: row, BUCKETFUL, at(0.5), 0.0, 5.0, 100.0, "off")
    assert (numbers(frozen[1]), frozen[2]) == ((100.0, 0.0, True), True)


def test_with_the_burner_off_it_stays_at_the_melting_point_until_solid() -> None:
    row = HeatTable(STOVE).hour(10.0, 0.5, 0.75)
    hot = Heat(370.0, BUCKETFUL.latent_j, True)
    solid_h, heat, reached = advance(lambda _: row, BUCKETFUL, hot, 0.0, 10.0, 300.0, "off")
    assert reached
    assert numbers(heat) == (300.0, 0.0, True)
    cooled_h = advance(lambda _: row, BUCKETFUL, hot, 0.0, 10.0, 300.001, "off")[0]
    assert solid_h - cooled_h == pytest.approx(BUCKETFUL.latent_j / -row.off.at(300.0) / 3600.0, rel=1e-3)


def test_hold_share_keeps_a_pot_as_warm_as_it_is() -> None:
    row = HeatTable(STOVE).hour(5.0, 1.0, 0.75)
    share = row.hold_share(370.0)
    turned_down = replace(STOVE, burner_w=STOVE.burner_w * share)
    kind = {"burning": True, "pool": True, "lid": False}
    assert 0.05 < share < 0.5
    assert net_power_w(turned_down, 370.0, 5.0, 1.0, 0.75, **kind) == pytest.approx(0.0, abs=2.0)
    assert HeatTable(replace(STOVE, burner_w=500.0)).hour(5.0, 5.0, 0.75).hold_share(370.0) == 1.0


def test_nothing_happens_when_it_is_there_already_or_time_is_up() -> None:
    row = HeatTable(STOVE).hour(5.0, 1.0, 0.75)
    hot = Heat(380.0, BUCKETFUL.latent_j, True)
    assert advance(lambda _: row, BUCKETFUL, hot, 7.25, 9.0, 370.0, "burning") == (7.25, hot, True)
    assert advance(lambda _: row, BUCKETFUL, hot, 7.25, 7.25, 400.0, "burning") == (7.25, hot, False)
    assert heating_h(row, BUCKETFUL, hot, 370.0) == 0.0


def test_an_endless_melt_is_refused() -> None:
    row = HeatTable(STOVE).hour(5.0, 1.0, 0.75)
    with pytest.raises(ValueError, match="finite"):
        advance(lambda _: row, BUCKETFUL, Heat(5.0, 0.0, False), 0.0, inf, 370.0, "burning")


def test_a_year_in_pieces_is_the_year_in_one() -> None:
    table = HeatTable(SMALL)
    weather = [(5.0, 0.5), (4.0, 2.5), (3.5, 1.0), (2.0, 4.0), (2.0, 0.2)]
    rows = rows_of(table, weather, 0.75)
    begin = Heat(5.0, 0.0, False)
    whole = advance(rows, BUCKETFUL, begin, 10.4, 16.0, 420.0, "burning")
    t_h, heat = 10.4, begin
    for end_h in (10.9, 11.0, 12.7, 13.1, 14.0, 16.0):
        t_h, heat, _ = advance(rows, BUCKETFUL, heat, t_h, end_h, 420.0, "burning")
    assert heat.temperature_c == pytest.approx(whole[1].temperature_c, abs=1e-6)
    assert heat.latent_in_j == pytest.approx(whole[1].latent_in_j, abs=1e-3)


def test_a_row_is_the_same_whatever_was_asked_before_it_and_of_whichever_stove() -> None:
    others = (
        *({"burner_w": 3_000.0}, {"wind_at_pot_share": 0.2}, {"wind_half_m_s": 1.0}, {"gas_c": 900.0}),
        *({"pot_diameter_m": 0.3}, {"pot_height_m": 0.2}, {"emissivity_top": 0.3}, {"emissivity_side": 0.5}),
    )
    stoves = [STOVE, *(replace(STOVE, **other) for other in others)]
    asked = list(product((False, True), (-3.5, 10.0), (0.0, 1.0, 2.0), stoves))
    for lid, air_c, wind_m_s, stove in asked + asked[::-1]:
        row = HeatTable(stove, lid).hour(air_c, wind_m_s, 1.0)
        useful = useful_power_w(stove, GRID_C, air_c, wind_m_s, 1.0, True)
        alone = net_powers_w(stove, useful, loss_parts_w(stove, GRID_C, air_c, wind_m_s), lid)
        for curve, power_w in zip((row.off, row.loose, row.pooled), (alone[2], *alone[:2]), strict=True):
            assert curve.power_w == tuple(power_w.tolist())
        assert row.useful_w == useful_power_w(stove, 0.0, air_c, wind_m_s, 1.0, True)
        assert row.off is row.off


def test_how_full_the_cylinder_is_matters_only_where_it_cannot_feed_the_burner() -> None:
    table = HeatTable(SMALL)
    full = table.hour(10.0, 1.0, 1.0)
    assert full.fire_w == SMALL.burner_w
    assert table.hour(10.0, 1.0, 0.5) is full
    assert len(table) == 1
    assert table.hour(-20.0, 1.0, 0.2).fire_w < SMALL.burner_w


def test_a_table_keeps_its_rows_and_rounds_a_cylinder_down_to_quarters() -> None:
    table = HeatTable(replace(STOVE, burner_w=16_000.0))
    row = table.hour(-5.0, 1.0, 0.74)
    assert table.hour(-5.0, 1.0, 0.5) is row
    assert table.hour(-5.01, 1.02, 0.6) is row
    assert len(table) == 1
    assert table.hour(-5.0, 1.0, 0.75).fire_w > row.fire_w
    assert 0.0 < table.hour(-5.0, 1.0, 0.01).fire_w < row.fire_w
    assert table.hour(-5.0, 1.0, 0.0).fire_w == 0.0
    assert table.hour(-5.0, 1.0, 1.0) is table.hour(-5.0, 1.0, 1.02)
