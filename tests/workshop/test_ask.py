"""Asking around: new shops behind hours of asking, and second-hand pewter."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Finds, Shop
from tests.small import business, shop, world
from tests.workshop.books import entries, played

DAYS = 120


def hidden(name: str, asking_h: float, says_yes: bool = True) -> Shop:
    return shop(name, known=False, asking_h=asking_h, says_yes=says_yes, x_km=4.0)


def asked(*shops: Shop, finds: Finds | None = None, **changes: Any) -> Run:
    of = business(**({"melting": {"on": False}} | changes))
    parts = {} if finds is None else {"finds": finds}
    return played(of, world(of, shops=shops, crowds=(), **parts))


def asking_h(run: Run) -> float:
    return sum(row.end_h - row.t_h for row in run.hours if row.what == "asking around")


def found(run: Run) -> dict[str, float]:
    return {note.who: note.t_h for note in run.notes if note.what == "new shop"}


def test_unknown_shops_are_found_by_hours_of_asking() -> None:
    run = asked(hidden("near", 3.0), hidden("far", 9.0), owner={"asking_a_month": "4 h"})
    when = found(run)
    assert when["near"] < 730.0
    assert 2 * 730.0 < when["far"] < 3 * 730.0
    assert {lot.source for lot in run.lots} == {"near", "far"}
    assert min(lot.t_h for lot in run.lots) > when["near"]


def test_nobody_is_found_without_asking() -> None:
    run = asked(hidden("near", 0.5), owner={"asking_a_month": "0 h"})
    assert run.lots == []
    assert asking_h(run) == 0.0


def test_a_shop_that_says_no_is_asked_in_vain() -> None:
    run = asked(hidden("no", 1.0, says_yes=False), owner={"asking_a_month": "4 h"})
    assert found(run) == {}
    assert asking_h(run) > 10.0


def test_asking_keeps_to_its_hours_a_month() -> None:
    run = asked(hidden("never", 1e9), owner={"asking_a_month": "4 h"})
    assert asking_h(run) == pytest.approx(4.0 * 4)


def test_when_every_shop_is_known_nobody_asks() -> None:
    run = asked(hidden("near", 1.0), owner={"asking_a_month": "4 h"})
    assert asking_h(run) <= 4.0 + 1e-9


def pewter(day: float, price: float = 12.0) -> Finds:
    return Finds(np.array([day * 24.0]), np.array([1.5]), np.array([0.92]), np.array([price]))


def test_pewter_that_turns_up_is_bought_in_the_time_it_takes() -> None:
    run = asked(finds=pewter(1.0), pewter={"time_per_find": "45 min"})
    assert [entry.amount for entry in entries(run, "pewter")] == [-12.0]
    assert asking_h(run) == pytest.approx(0.75)


def test_pewter_is_gone_after_two_weeks_unaffordable_without_cash_and_left_if_not_wanted() -> None:
    away = {"hours": {"sat": "09:00-17:00"}, "holidays": "2026-03-02 to 2026-03-30"}
    late = asked(finds=pewter(1.0), owner=away)
    poor = asked(finds=pewter(1.0), cash={"opening": "11 EUR"})
    unwanted = asked(finds=pewter(1.0), pewter={"use": "no"})
    assert entries(late, "pewter") == entries(poor, "pewter") == entries(unwanted, "pewter") == []
    why = [note.cause for run in (late, poor) for note in run.notes if note.what == "pewter not bought"]
    assert why == ["gone", "cash: not enough money"]
