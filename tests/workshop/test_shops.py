"""A shop as the owner finds it: what waits, what went elsewhere, whether it still gives."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from planner.workshop.shops import ShopState
from tests.small import shop

DAY = 24.0


class Diary:
    """Buckets that went elsewhere."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, bool]] = []

    def missed(self, t_h: float, name: str, gives: bool) -> None:
        assert name == "shop A"
        self.rows.append((t_h / DAY, gives))


def state(**changes: object) -> tuple[ShopState, Diary]:
    """A bucket every ten days from day 0; each waits 21 days; three may go elsewhere."""
    return ShopState(shop(**changes)), Diary()  # type: ignore[arg-type]


def test_full_buckets_wait_until_they_are_fetched() -> None:
    found, diary = state()
    found.update(15 * DAY, diary.missed)
    assert found.waiting == [0, 1]
    found.fetched(0)
    found.update(25 * DAY, diary.missed)
    assert found.waiting == [1, 2]
    assert diary.rows == []


def test_a_bucket_that_waits_too_long_goes_elsewhere() -> None:
    found, diary = state()
    found.update(22 * DAY, diary.missed)
    assert found.waiting == [1, 2]
    assert diary.rows == [(21.0, True)]


def test_a_shop_left_waiting_too_often_stops_giving() -> None:
    found, diary = state()
    found.update(100 * DAY, diary.missed)
    assert diary.rows == [(21.0, True), (31.0, True), (41.0, True), (51.0, False)]
    assert found.waiting == []
    assert found.next_full_h() == inf
    found.update(200 * DAY, diary.missed)
    assert len(diary.rows) == 4


def test_a_shop_that_is_served_forgets_what_it_waited() -> None:
    found, diary = state()
    for day in (45, 75, 105):
        found.update(day * DAY, diary.missed)
        found.fetched(found.waiting[0])
    assert found.alive
    assert found.misses == 0
    assert len(diary.rows) > 3


def test_looking_often_or_seldom_finds_the_same() -> None:
    often, diary = state()
    seldom, other = state()
    for day in range(101):
        often.update(day * DAY, diary.missed)
    seldom.update(100 * DAY, other.missed)
    assert diary.rows == other.rows
    assert often.waiting == seldom.waiting


def test_a_shop_that_is_served_asks_a_little_more_each_time() -> None:
    found, diary = state(price_creep_share=0.1)
    found.update(15 * DAY, diary.missed)
    assert found.price(1) == pytest.approx(10.0)
    found.fetched(0)
    assert found.price(1) == pytest.approx(11.0)


def test_an_unknown_shop_has_nothing_until_it_is_found_and_then_only_what_fills_later() -> None:
    found, diary = state(known=False)
    found.update(15 * DAY, diary.missed)
    assert found.waiting == []
    found.found(15 * DAY)
    found.update(25 * DAY, diary.missed)
    assert found.waiting == [2]
    assert found.next_full_h() == 30 * DAY
    assert diary.rows == []


def test_the_last_bucket_is_the_last() -> None:
    found, diary = state(buckets=2, gone_after_h=np.full(2, inf))
    found.update(15 * DAY, diary.missed)
    assert found.waiting == [0, 1]
    assert found.next_full_h() == inf
