"""Supply model sources.replay: records to the bit, once or year by year; the rest by settings and chance."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.world.parts import PARTS, Horizon, Shop, Supply
from planner_other_sources.records import MIX

Write = Callable[..., str]
DrawAs = Callable[..., Supply]
Build = Callable[..., Any]
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
HEAD = "date,shop,mass [kg],price"
MIXED = f"{HEAD},wet,{','.join(MIX)},clip_share"
PLACES = {"A": {"x": "1 km", "y": "2 km"}, "B": {"x": "-3 km", "y": "0 km"}}


def told(file: str, **settings: Any) -> dict[str, Any]:
    return {"file": file, "shops": PLACES, **settings}


def by_name(supply: Supply) -> dict[str, Shop]:
    return {shop.name: shop for shop in supply.shops}


def test_records_of_the_days_played_come_back_to_the_bit_in_every_world(records: Write, draw: DrawAs) -> None:
    file = records(
        MIXED,
        "2026-03-07,A,57.25,10.5,yes,0.41,0.09,0.1,0.33,0.07,0.121",
        "2026-02-01,B,44.1,0,no,0.3,0.2,0.1,0.3,0.1,0.1",
        "2026-01-01,A,60.3,11,no,0.5,0,0,0.5,0,0.15",
        "2026-12-31,A,33.3,7.77,no,0.37,0.13,0.08,0.34,0.08,0.08",
    )
    for replicate in (0, 7):
        found = by_name(draw("replay", told(file), replicate))
        a, b = found["A"], found["B"]
        assert a.ready_h.tolist() == [0.0, 65 * 24.0, 364 * 24.0]
        assert a.mass_kg.tolist() == [60.3, 57.25, 33.3]
        assert a.price.tolist() == [11.0, 10.5, 7.77]
        assert a.wet.tolist() == [False, True, False]
        assert a.shares[1].tolist() == [0.41 * (1 - 0.121), 0.41 * 0.121, 0.09, 0.1, 0.33, 0.07]
        assert (a.price_creep_share, a.known, a.owed) == (0.0, True, None)
        assert (a.x_km, a.y_km, b.x_km, b.y_km) == (1.0, 2.0, -3.0, 0.0)
        assert b.mass_kg.tolist() == [44.1]
        assert b.ready_h.tolist() == [31 * 24.0]


ROWS = st.lists(
    st.tuples(
        st.integers(0, 364),
        st.sampled_from("AB"),
        st.floats(0.5, 150.0).map(lambda kg: round(kg, 3)),
        st.floats(0.0, 40.0).map(lambda eur: round(eur, 2)),
        st.sampled_from([True, False]),
        st.lists(st.integers(0, 100), min_size=5, max_size=5).filter(any),
        st.integers(0, 100),
    ),
    min_size=1,
    max_size=25,
)


@given(ROWS, st.integers(0, 1000))
def test_whatever_the_records_they_come_back_to_the_bit(
    records: Write, draw: DrawAs, rows: Any, replicate: int
) -> None:
    lines, expected = [MIXED], {"A": [], "B": []}  # type: ignore[var-annotated]
    for day, shop, kg, eur, wet, parts, clip in rows:
        shares = [part / sum(parts) for part in parts]
        cells = [YEAR.start + timedelta(days=day), shop, kg, eur, "yes" if wet else "no", *shares, clip / 100]
        lines.append(",".join(map(str, cells)))
        expected[shop].append((day * 24.0, kg, eur, wet, shares, clip / 100))
    found = by_name(draw("replay", told(records(*lines, name="any.csv")), replicate))
    for name, rows_of in expected.items():
        if not rows_of:
            assert name not in found
            continue
        rows_of.sort(key=lambda row: row[0])
        shop = found[name]
        assert [row[:4] for row in rows_of] == list(
            zip(
                shop.ready_h.tolist(),
                shop.mass_kg.tolist(),
                shop.price.tolist(),
                shop.wet.tolist(),
                strict=True,
            )
        )
        for (*_, shares, clip), drawn in zip(rows_of, shop.shares, strict=True):
            assert drawn.tolist() == [shares[0] * (1 - clip), shares[0] * clip, *shares[1:]]


def test_what_the_records_do_not_say_comes_from_the_settings(records: Write, draw: DrawAs) -> None:
    days = [YEAR.start + timedelta(days=k) for k in range(0, 365, 2)]
    file = records(HEAD, *(f"{day},A,50,10" for day in days))
    settings = told(
        file,
        waits={"gamma": {"mean": "20 days", "sd": "5 days"}},
        wet_share=0.25,
        mix={"clip_share": 0.1},
        lead_falls_a_year_share=0,
    )
    drawn = [draw("replay", settings, r).shops[0] for r in range(20)]
    waits = np.concatenate([shop.gone_after_h for shop in drawn]) / 24.0
    wet = np.concatenate([shop.wet for shop in drawn])
    shares = np.concatenate([shop.shares for shop in drawn])
    error = 4.0 / np.sqrt(waits.size)
    assert abs(waits.mean() - 20.0) < error * 5.0
    assert waits.std() == pytest.approx(5.0, rel=0.1)
    assert abs(wet.mean() - 0.25) < error * np.sqrt(0.25 * 0.75)
    clip_on = shares[:, 0] + shares[:, 1]
    assert abs(clip_on.mean() - 0.40) < error * 0.08
    assert clip_on.std() == pytest.approx(0.08, rel=0.1)
    np.testing.assert_allclose(shares[:, 1], 0.1 * clip_on)


def test_a_record_more_changes_nothing_of_other_days(records: Write, draw: DrawAs) -> None:
    lines = [f"2026-{month:02d}-10,A,{50 + month},10" for month in range(1, 13)]
    few = draw("replay", told(records(HEAD, *lines, name="few.csv"))).shops[0]
    more = draw(
        "replay", told(records(HEAD, "2026-01-05,A,40,10", *lines, "2026-01-05,B,41,9", name="more.csv"))
    ).shops[0]
    for name in ("ready_h", "gone_after_h", "mass_kg", "shares", "price", "wet", "missed_u"):
        np.testing.assert_array_equal(getattr(few, name), getattr(more, name)[1:])


def test_longer_waits_stay_paired_with_themselves(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, *(f"2026-{month:02d}-10,A,50,10" for month in range(1, 13)))
    one, other = (
        np.concatenate(
            [
                draw("replay", told(file, waits={"gamma": {"mean": f"{days} days", "sd": "9 days"}}), r)
                .shops[0]
                .gone_after_h
                for r in range(20)
            ]
        )
        for days in (30, 31)
    )
    assert np.corrcoef(one, other)[0, 1] > 0.999
    assert (other > one).all()


def test_dates_outside_the_days_played_are_left_out_and_told(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, "2025-12-31,A,50,10", "2026-05-01,A,51,10", "2027-01-01,A,52,10", "2027-02-01,A,5,1")
    supply = draw("replay", told(file))
    assert supply.shops[0].mass_kg.tolist() == [51.0]
    assert supply.note == (
        "pickups.csv: of 4 records 1 lie before the first day played (2026-01-01) and 2 after the last (2026-12-31); "
        "they are left out (with repeat: true they come again year by year)"
    )
    inside = draw("replay", told(records(HEAD, "2026-05-01,A,51,10")))
    assert inside.note == ""


def test_records_of_another_year_only_leave_a_shop_without_buckets(records: Write, draw: DrawAs) -> None:
    supply = draw("replay", told(records(HEAD, "2020-05-01,A,51,10")))
    assert supply.shops[0].ready_h.size == 0
    assert "1 lie before" in supply.note


def test_records_repeated_come_again_on_their_dates_year_by_year(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, "2024-11-05,A,50,10", "2025-02-28,A,51,11", "2025-03-10,B,40,5")
    three = Horizon(date(2026, 1, 1), 3 * 365, 45.0)
    supply = draw("replay", told(file, repeat=True), horizon=three)
    a = by_name(supply)["A"]
    dates = [three.start + timedelta(hours=h) for h in a.ready_h.tolist()]
    assert [(day.year, day.month, day.day) for day in dates] == [
        (year, *of) for year in (2026, 2027, 2028) for of in ((2, 28), (11, 5))
    ]
    assert a.mass_kg.tolist() == [51.0, 50.0] * 3
    assert supply.note == "pickups.csv: the records of 2024-11-05 to 2025-03-10 are played again every year"


def test_records_of_two_years_are_repeated_every_two_years(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, "2023-04-01,A,50,10", "2024-06-01,A,51,11")
    masses = [
        draw("replay", told(file, repeat=True), horizon=Horizon(date(year, 1, 1), 365, 45.0)).shops[0].mass_kg
        for year in (2025, 2026, 2021, 2022)
    ]
    assert [kg.tolist() for kg in masses] == [[50.0], [51.0], [50.0], [51.0]]


def test_a_bucket_of_29_february_comes_on_the_28th_of_other_years(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, "2024-02-29,A,50,10")
    for year, day in ((2026, 58), (2028, 59)):
        shop = draw("replay", told(file, repeat=True), horizon=Horizon(date(year, 1, 1), 365, 45.0)).shops[0]
        assert shop.ready_h.tolist() == [day * 24.0]


def test_the_records_of_a_year_are_the_same_repeated_or_not(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, *(f"2026-{month:02d}-10,A,{50 + month},10" for month in range(1, 13)))
    once, again = (draw("replay", told(file, repeat=repeat)).shops[0] for repeat in (False, True))
    for name in ("ready_h", "gone_after_h", "mass_kg", "shares", "missed_u"):
        np.testing.assert_array_equal(getattr(once, name), getattr(again, name))


def test_lead_falls_from_the_day_of_a_record_to_the_day_it_is_played_again(
    records: Write, draw: DrawAs
) -> None:
    file = records(MIXED, "2026-03-01,A,50,10,no,0.4,0.1,0.1,0.3,0.1,0.1")
    settings = told(file, repeat=True, lead_falls_a_year_share=0.05, falls_to_steel_share=0.6)
    shares = draw("replay", settings, horizon=Horizon(date(2026, 1, 1), 730, 45.0)).shops[0].shares
    lead = shares[:, :3].sum(axis=1)
    zinc, steel = shares[:, PARTS.index("zinc")], shares[:, PARTS.index("steel")]
    assert lead == pytest.approx([0.5, 0.45])
    assert steel == pytest.approx([0.3, 0.33])
    assert zinc == pytest.approx([0.1, 0.12])


def test_a_place_in_the_file_goes_before_one_in_the_settings_and_one_is_needed(
    records: Write, draw: DrawAs, build: Build
) -> None:
    file = records(f"{HEAD},x [km],y [km]", "2026-03-01,A,50,10,7,8")
    assert [(shop.x_km, shop.y_km) for shop in draw("replay", told(file)).shops] == [(7.0, 8.0)]
    nowhere = records(HEAD, "2026-03-01,A,50,10", "2026-03-01,C,50,10")
    with pytest.raises(
        ValueError, match=r"^pickups\.csv:3: nothing says where C is; give the file columns x"
    ):
        build("replay", told(nowhere))


def test_prices_in_another_currency_are_refused(records: Write, build: Build) -> None:
    file = records("date,shop,mass [kg],price [USD]", "2026-03-01,A,50,10")
    with pytest.raises(ValueError, match=r"^pickups\.csv:1: .*counts in EUR; convert it"):
        build("replay", told(file))
    build("replay", told(file), currency="USD")
    with pytest.raises(ValidationError, match="the scenario counts in EUR, not in USD"):
        build("replay", told(file, currency="USD"))


def test_opening_hours_and_patience_are_as_written(records: Write, draw: DrawAs) -> None:
    file = records(HEAD, "2026-03-01,A,50,10", "2026-03-01,B,50,10")
    shops = {"A": {**PLACES["A"], "open": {"mon": "10:00-12:00"}}, "B": PLACES["B"]}
    found = by_name(
        draw("replay", {"file": file, "shops": shops, "misses_borne": 7, "open": {"sat": "08:00-12:00"}})
    )
    assert found["A"].open_hours[0] == ((10.0, 12.0),)
    assert found["B"].open_hours[5] == ((8.0, 12.0),)
    assert found["B"].misses_borne == 7
