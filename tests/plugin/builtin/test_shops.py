"""Supply model core.shops. The numbers of the shops are invented for the tests."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.builtin.shops import Shops
from planner.plugin.contents import Mix
from planner.world.draw import Draw
from planner.world.parts import PARTS, Horizon, Shop, Supply

YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
LEVEL = {"season": 1, "lead_falls_a_year_share": 0}
A = {"x": "1 km", "y": "2 km", "gap": {"gamma": {"mean": "12 days", "sd": "5 days"}}}
B = {"x": "-3 km", "y": "2 km", "kind": "small", "mass": "40 kg"}


def shops(
    replicate: int = 0, horizon: Horizon = YEAR, shops: dict[str, Any] | None = None, **changes: Any
) -> Supply:
    settings = ShopsSettings.model_validate(
        {"shops": {"A": A, "B": B} if shops is None else shops, **changes}
    )
    return Shops(settings).draw(Draw(1, replicate), horizon)


def same(one: Shop, other: Shop) -> bool:
    names = ("ready_h", "gone_after_h", "mass_kg", "shares", "price", "wet", "missed_u")
    return all(np.array_equal(getattr(one, name), getattr(other, name)) for name in names)


def test_the_same_seed_gives_the_same_bits_and_another_replicate_others() -> None:
    one, again, other = shops(), shops(), shops(replicate=1)
    assert all(same(a, b) for a, b in zip(one.shops, again.shops, strict=True))
    assert not same(one.shops[0], other.shops[0])


def test_another_shop_changes_no_bucket_of_the_others() -> None:
    few = shops()
    more = shops(shops={"C": {"x": "0 km", "y": "0 km", "price": "3 EUR"}, "B": B, "A": A})
    by_name = {shop.name: shop for shop in more.shops}
    assert set(by_name) == {"A", "B", "C"}
    assert all(same(shop, by_name[shop.name]) for shop in few.shops)


def test_a_longer_horizon_only_adds_buckets() -> None:
    short, long = shops().shops[0], shops(horizon=Horizon(YEAR.start, 730, 45.0)).shops[0]
    n = short.ready_h.size
    assert long.ready_h.size > n
    assert np.array_equal(short.ready_h, long.ready_h[:n])
    assert np.array_equal(short.shares, long.shares[:n])


def test_tyre_changes_move_buckets_in_time_without_redrawing_them() -> None:
    level, seasonal = shops(**LEVEL).shops[0], shops(lead_falls_a_year_share=0).shops[0]
    n = min(level.ready_h.size, seasonal.ready_h.size)
    assert not np.array_equal(level.ready_h[:n], seasonal.ready_h[:n])
    assert np.array_equal(level.mass_kg[:n], seasonal.mass_kg[:n])
    assert np.array_equal(level.shares[:n], seasonal.shares[:n])


def test_buckets_fill_faster_in_the_busy_months() -> None:
    full = [YEAR.month[(shop.ready_h / 24).astype(int)] for r in range(60) for shop in shops(r).shops]
    counts = np.bincount(np.concatenate(full), minlength=13)
    assert counts[4] > 1.5 * counts[7]  # April 1.6 against July 0.7


def test_growth_brings_more_buckets_late_and_keeps_their_contents() -> None:
    level, growing = shops(**LEVEL).shops[0], shops(**LEVEL, growth_a_year_share=0.5).shops[0]
    assert growing.ready_h.size > level.ready_h.size
    assert np.array_equal(growing.mass_kg[: level.mass_kg.size], level.mass_kg)
    assert (growing.ready_h[: level.ready_h.size] <= level.ready_h).all()


def test_half_the_supply_for_a_while_is_half_the_pace_for_a_while() -> None:
    halved = {"spells": [{"days": "2026-01-01 to 2026-12-31", "times": 0.5}]}
    slow, level = (
        sum(shop.ready_h.size for r in range(40) for shop in shops(r, **LEVEL, **extra).shops)
        for extra in (halved, {})
    )
    assert slow == pytest.approx(level / 2, rel=0.05)


def test_a_shop_that_fills_a_little_faster_stays_paired_with_itself() -> None:
    faster = {**A, "gap": {"gamma": {"mean": "11.8 days", "sd": "5 days"}}}
    before = np.array([shops(r, **LEVEL).shops[0].ready_h[:20] for r in range(30)])
    after = np.array([shops(r, shops={"A": faster}, **LEVEL).shops[0].ready_h[:20] for r in range(30)])
    assert np.corrcoef(before.ravel(), after.ravel())[0, 1] > 0.999
    assert after.mean() < before.mean()


def test_what_a_shop_gives_a_year_has_the_mean_of_a_renewal_process() -> None:
    shop = {"x": "1 km", "y": "1 km", "gap": {"exponential": {"mean": "10 days"}}}
    shop |= {"mass": {"uniform": {"low": "40 kg", "high": "60 kg"}}}
    kg = np.array([shops(r, shops={"A": shop}, **LEVEL).shops[0].mass_kg.sum() for r in range(400)])
    # the first gap is cut short by a uniform share: that is half a gap on average ahead of a fresh start
    expected_kg = 50.0 * (365.0 / 10.0 + 0.5)
    assert abs(kg.mean() - expected_kg) < 4.0 * kg.std(ddof=1) / np.sqrt(kg.size)


def test_lots_vary_around_the_shops_mix() -> None:
    drawn = np.concatenate([shop.shares for r in range(80) for shop in shops(r, **LEVEL).shops])
    clip_on = drawn[:, PARTS.index("hard")] + drawn[:, PARTS.index("clip")]
    mean = {"soft": 0.10, "zinc": 0.08, "steel": 0.34, "rubbish": 0.08}
    error = 4.0 / np.sqrt(drawn.shape[0])
    for part, share in mean.items():
        column = drawn[:, PARTS.index(part)]
        assert abs(column.mean() - share) < error * column.std()
    assert abs(clip_on.mean() - 0.40) < error * clip_on.std()
    assert clip_on.std() == pytest.approx(0.08, rel=0.08)
    clip_share = drawn[:, PARTS.index("clip")] / clip_on
    assert 0.08 <= clip_share.min() < 0.085
    assert 0.145 < clip_share.max() <= 0.15
    assert np.allclose(drawn.sum(axis=1), 1.0, atol=1e-12)


def test_lots_are_alike_where_the_mix_does_not_vary() -> None:
    mix = {"clip_share": 0.1, "varies_share": 0}
    shares = shops(typical={"mix": mix}, **LEVEL).shops[0].shares
    assert np.allclose(shares, [0.36, 0.04, 0.10, 0.08, 0.34, 0.08])


def test_lead_gives_way_to_steel_and_zinc_year_by_year() -> None:
    horizon = Horizon(YEAR.start, 730, 45.0)
    mix = {"clip_share": 0.1, "varies_share": 0}
    falling = shops(
        horizon=horizon,
        typical={"mix": mix},
        season=1,
        lead_falls_a_year_share=0.05,
        falls_to_steel_share=0.6,
        lead_falls_from="2027-01-01",
    ).shops[0]
    before, after = falling.ready_h < 365 * 24, falling.ready_h >= 365 * 24
    lead = falling.shares[:, :3].sum(axis=1)
    assert np.allclose(lead[before], 0.5)
    years = falling.ready_h[after] / (365 * 24) - 1.0
    assert np.allclose(lead[after], 0.5 - 0.05 * years)
    assert np.allclose(falling.shares[after, PARTS.index("steel")], 0.34 + 0.6 * 0.05 * years)
    assert np.allclose(falling.shares[after, PARTS.index("zinc")], 0.08 + 0.4 * 0.05 * years)


def test_lead_that_has_gone_altogether_does_not_go_below_nothing() -> None:
    gone = shops(horizon=Horizon(YEAR.start, 1095, 45.0), lead_falls_a_year_share=0.4).shops[0]
    assert np.allclose(gone.shares[-1, :3], 0.0)
    assert np.allclose(gone.shares.sum(axis=1), 1.0)


def test_unknown_shops_wait_behind_hours_of_asking_in_order() -> None:
    hidden = {"x": "1 km", "y": "1 km", "known": False, "asking": "4 h"}
    found = shops(shops={"A": A, "C": hidden, "D": hidden, "E": {**hidden, "asking": "1 h"}}).shops
    assert [shop.asking_h for shop in found] == [0.0, 4.0, 8.0, 9.0]
    assert [shop.known for shop in found] == [True, False, False, False]


def test_about_three_of_ten_say_yes_and_no_chain_does() -> None:
    hidden = {"x": "1 km", "y": "1 km", "known": False}
    drawn = [shops(r, shops={"C": hidden, "D": {**hidden, "kind": "chain"}}).shops for r in range(400)]
    yes = np.array([one.says_yes for one, _ in drawn])
    assert abs(yes.mean() - 0.3) < 4 * np.sqrt(0.3 * 0.7 / yes.size)
    assert not any(chain.says_yes for _, chain in drawn)
    assert all(shop.says_yes for shop in shops().shops)


def test_the_first_bucket_is_on_average_half_full_already() -> None:
    place = {**A, "gap": "20 days"}
    first = np.array([shops(r, shops={"A": place}, **LEVEL).shops[0].ready_h[0] for r in range(200)]) / 24
    assert abs(first.mean() - 10.0) < 4 * (20 / np.sqrt(12)) / np.sqrt(first.size)


def test_a_bucket_can_be_there_on_the_first_day() -> None:
    one = {**A, "first": "0 days", "gap": "30 days"}
    assert shops(shops={"A": one}, **LEVEL).shops[0].ready_h[:3].tolist() == [0.0, 720.0, 1440.0]


def test_a_busy_shop_fills_more_buckets_than_a_small_one() -> None:
    place = {"x": "1 km", "y": "1 km"}
    kinds = {"small": {**place, "kind": "small"}, "busy": {**place, "kind": "independent"}}
    counts = np.array([[s.ready_h.size for s in shops(r, shops=kinds).shops] for r in range(50)]).mean(axis=0)
    assert counts[0] < 12  # under one a month
    assert 12 < counts[1] < 36  # one to three a month


def test_a_shop_overrides_what_is_typical() -> None:
    own = {**A, "price": "3 EUR", "misses_borne": 0, "wet_share": 1, "open": {"mon": "10:00-12:00"}}
    one, other = shops(shops={"A": own, "B": B}).shops
    assert set(one.price.tolist()) == {3.0}
    assert one.wet.all()
    assert one.misses_borne == 0
    assert one.open_hours[0] == ((10.0, 12.0),)
    assert other.misses_borne == 3
    assert set(other.mass_kg.tolist()) == {40.0}


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"shops": {"A": {**A, "kind": "chain"}}}, "recycling contract"),
        ({"shops": {"A": {**A, "gap": "0 days"}}}, "longer than 0 days"),
        ({"shops": {}}, "at least 1"),
        ({"shops": {"A": A}, "typical": {"mix": {"clip_on_share": 0.9}}}, "must sum to 1"),
        ({"shops": {"A": A}, "typical": {"mix": {"varies_share": 0.6}}}, r"must be below 0\.49"),
    ],
)
def test_shops_that_cannot_be_are_refused(settings: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        ShopsSettings.model_validate(settings)


def test_a_billion_buckets_are_refused_before_they_are_drawn() -> None:
    with pytest.raises(ValueError, match="more than 20,000 events in 365 days"):
        shops(shops={"A": {**A, "gap": "0.001 s"}})


def test_a_mix_without_a_part_never_holds_it() -> None:
    mix = {"clip_on_share": 0.6, "stick_on_share": 0.4, "zinc_share": 0, "steel_share": 0, "rubbish_share": 0}
    shares = shops(typical={"mix": mix}, **LEVEL).shops[0].shares
    assert (shares[:, 3:] == 0.0).all()
    assert Mix.model_validate(mix).concentration == pytest.approx(0.6 * 0.4 / 0.08**2 - 1)
