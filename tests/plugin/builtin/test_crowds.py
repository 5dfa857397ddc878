"""Demand models core.returning, core.bulk and core.post. The people are invented for the tests."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from planner.plugin.builtin.crowd_settings import ReturningSettings
from planner.plugin.builtin.crowds import BLOCK, BULK, POST, RETURNING
from planner.world.draw import Draw
from planner.world.parts import Crowd, Horizon

YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
CASTERS: dict[str, Any] = {
    "people": 20,
    "known": 6,
    "gap": {"gamma": {"mean": "60 days", "sd": "30 days"}},
    "size": {"lognormal": {"mean": "15 kg", "sd": "6 kg"}},
    "most": {
        "hard": {"normal": {"mean": "4.6 EUR/kg", "sd": "0.5 EUR/kg"}},
        "soft": {"normal": {"mean": "5 EUR/kg", "sd": "0.5 EUR/kg"}},
    },
    "tin_wanting_share": 0.3,
}
BY_NEED = ("gap_h", "size_kg", "patience_h", "shows_up", "brings_friend", "tin_kg")
BY_PERSON = ("returns_at_share", "misses_borne")


def casters(replicate: int = 0, horizon: Horizon = YEAR, **changes: Any) -> Crowd:
    settings = RETURNING.settings.model_validate(CASTERS | changes)
    crowd: Crowd = RETURNING.build(settings).draw(Draw(5, replicate), horizon)
    return crowd


def same(one: Crowd, other: Crowd, people: int, names: tuple[str, ...] = BY_NEED + BY_PERSON) -> bool:
    needs = min(one.gap_h.shape[1], other.gap_h.shape[1])
    cut = (slice(people), slice(needs))
    alike = [
        np.array_equal(
            getattr(one, name)[cut[: getattr(one, name).ndim]],
            getattr(other, name)[cut[: getattr(other, name).ndim]],
        )
        for name in names
    ]
    return all(alike) and all(
        np.array_equal(one.most_per_kg[alloy][cut], other.most_per_kg[alloy][cut])
        for alloy in one.most_per_kg
    )


def test_the_same_seed_gives_the_same_people_and_another_replicate_others() -> None:
    assert same(casters(), casters(), 20)
    assert not same(casters(), casters(replicate=1), 20)


def test_more_people_in_reach_change_nobody_who_was_there() -> None:
    few, more = casters(), casters(people=35)
    assert more.gap_h.shape[0] == 35
    assert same(few, more, 20)


def test_another_year_adds_needs_and_changes_none() -> None:
    short, long = casters(), casters(horizon=Horizon(YEAR.start, 1095, 45.0))
    assert long.gap_h.shape[1] > short.gap_h.shape[1]
    assert same(short, long, 20)


def test_needs_that_come_back_sooner_keep_their_sizes() -> None:
    usual, keen = casters(), casters(gap={"gamma": {"mean": "20 days", "sd": "10 days"}})
    assert keen.gap_h.shape[1] > usual.gap_h.shape[1]
    assert same(usual, keen, 20, ("size_kg", "patience_h", "shows_up", "brings_friend", "tin_kg"))
    ratio = keen.gap_h[:, :BLOCK] / usual.gap_h[:, :BLOCK]
    assert np.allclose(ratio, 1 / 3)


def test_a_small_change_of_the_gap_moves_every_need_a_little() -> None:
    before = np.array([casters(r).gap_h[:, :BLOCK] for r in range(20)])
    changed = {"gamma": {"mean": "61 days", "sd": "32 days"}}
    after = np.array([casters(r, gap=changed).gap_h[:, :BLOCK] for r in range(20)])
    assert np.corrcoef(before.ravel(), after.ravel())[0, 1] > 0.999


def test_everybody_has_more_needs_than_the_horizon_has_room_for() -> None:
    for replicate in range(10):
        crowd = casters(replicate, gap={"exponential": {"mean": "50 days"}})
        assert (crowd.gap_h.sum(axis=1) > crowd.operational_h[-1]).all()


def test_a_season_stretches_time_and_leaves_the_draws_alone() -> None:
    level, seasonal = casters(), casters(season={"jan-mar": 0.5, "apr-sep": 1.5, "oct-dec": 0.5})
    assert same(level, seasonal, 20)
    assert level.operational_h[-1] == 365 * 24
    january, april = np.diff(seasonal.operational_h)[[0, 100]]
    assert april == pytest.approx(3 * january)


def test_a_run_doubles_enquiries_and_then_they_slump() -> None:
    spells = [
        {"days": "2026-01-01 to 2026-06-30", "times": 2},
        {"days": "2026-07-01 to 2026-12-31", "times": 0.25},
    ]
    pace = np.diff(casters(spells=spells).operational_h) / 24
    assert set(pace[:181].round(12)) == {2.0}
    assert set(pace[181:].round(12)) == {0.25}


def test_a_spell_before_the_horizon_changes_nothing() -> None:
    early = casters(spells=[{"days": "2025-01-01 to 2025-12-31", "times": 3}])
    assert np.array_equal(early.operational_h, casters().operational_h)


def test_who_pays_well_for_hard_lead_pays_well_for_soft() -> None:
    crowd = casters(people=400, known=400, need_varies_share=0.05)
    hard, soft = crowd.most_per_kg["hard"], crowd.most_per_kg["soft"]
    assert set(crowd.most_per_kg) == {"hard", "soft"}
    assert np.corrcoef(hard.mean(axis=1), soft.mean(axis=1))[0, 1] > 0.99
    assert hard.mean() == pytest.approx(4.6, abs=4 * 0.5 / 20)
    within = (hard / hard.mean(axis=1, keepdims=True)).std()
    assert within == pytest.approx(0.05, rel=0.1)


def test_what_needs_add_and_take_evens_out() -> None:
    most = {"hard": "4 EUR/kg"}
    hard = casters(people=500, known=500, most=most, need_varies_share=0.4).most_per_kg["hard"]
    assert hard.std() == pytest.approx(1.6, rel=0.1)
    assert abs(hard.mean() - 4.0) < 4 * 1.6 / np.sqrt(hard.size)


def test_later_needs_do_not_repeat_earlier_ones() -> None:
    sizes = casters(gap="10 days").size_kg
    assert sizes.shape[1] >= 3 * BLOCK
    assert len(np.unique(sizes)) == sizes.size


def test_the_same_person_pays_the_same_where_needs_do_not_vary() -> None:
    hard = casters(need_varies_share=0).most_per_kg["hard"]
    assert (hard == hard[:, :1]).all()
    assert len(set(hard[:, 0])) == 20


def test_shares_come_out_as_they_were_set() -> None:
    crowd = casters(people=500, known=500, shows_up_share=0.8, friend_share=0.2)
    n = crowd.shows_up.size
    for column, share in ((crowd.shows_up, 0.8), (crowd.brings_friend, 0.2), (crowd.tin_kg > 0, 0.3)):
        assert abs(column.mean() - share) < 4 * np.sqrt(share * (1 - share) / n)
    sizes = crowd.size_kg
    assert abs(sizes.mean() - 15) < 4 * sizes.std() / np.sqrt(n)


def test_the_first_need_comes_some_way_into_a_gap_unless_it_is_set() -> None:
    constant = {"gap": "30 days"}
    first = casters(people=300, known=300, **constant).gap_h[:, 0] / 24
    assert 0.0 < first.min() < 1.0
    assert 29.0 < first.max() <= 30.0
    assert (casters(**constant, first="2 days").gap_h[:, :2] == [48.0, 720.0]).all()


def test_nobody_takes_less_than_the_least() -> None:
    assert casters(least="12 kg").size_kg.min() == 12.0
    assert casters(least="12 kg").least_kg == 12.0


def test_bulk_buyers_want_a_hundred_kilograms_and_more() -> None:
    crowd = BULK.build(BULK.settings.model_validate(BULK.example)).draw(Draw(2, 0), YEAR)
    assert crowd.channel == "bulk"
    assert crowd.size_kg.min() >= 100.0
    assert crowd.parcel_kg == 0.0


def test_post_goes_in_whole_parcels_and_packing_takes_time() -> None:
    settings = {"parcels": {"choice": {"values": [0, 1, 3], "weights": [1, 2, 1]}}, "packing": "20 min"}
    model = POST.build(POST.settings.model_validate({**POST.example, **settings, "sale": "10 min"}))
    crowd = model.draw(Draw(2, 0), YEAR)
    assert crowd.channel == "post"
    assert set((crowd.size_kg / crowd.parcel_kg).ravel()) == {1.0, 3.0}
    assert crowd.parcel_fee == 23.0
    assert crowd.sale_h == pytest.approx(10 / 60)
    assert crowd.packing_h(2 * crowd.parcel_kg) == pytest.approx(2 * 20 / 60)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"known": 21}, "21 people are known, but only 20 are in reach"),
        ({"gap": "0 days"}, "longer than 0 days"),
        ({"most": {}}, "take no alloy"),
        ({"people": 0, "known": 0}, "greater than or equal to 1"),
    ],
)
def test_crowds_that_cannot_be_are_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        ReturningSettings.model_validate(CASTERS | changes)


def test_needs_without_end_are_refused() -> None:
    with pytest.raises(ValueError, match="one person has more than 4096 needs in 365 days"):
        casters(people=1, known=1, gap="1 min")
