"""Directions in which the example must move, and must not. Common practice, no published source.

The same directions on a small business with chance off are in tests/workshop/test_directions.py.
"""

from __future__ import annotations

import pytest

from planner.study.along import Along
from planner.study.growing import grow
from planner.study.growth import Growth
from planner.study.stress import stress
from tests.reference.years import (
    CLIPS_WORTHLESS,
    CROWDED,
    EVENING,
    MORE_SUPPLY,
    SEED,
    TODAY,
    UNTOUCHED,
    lost_h,
    mean,
    runs,
    scenario,
)


def most_lost(option: str) -> str:
    lost = lost_h(option)
    return max(lost, key=lambda name: lost[name])


def test_twice_the_supply_does_not_double_the_profit_with_local_buyers_only() -> None:
    assert mean(MORE_SUPPLY, "buckets") > 1.6 * mean(TODAY, "buckets")
    assert mean(MORE_SUPPLY, "profit") < 1.4 * mean(TODAY, "profit")
    assert mean(MORE_SUPPLY, "takings") == pytest.approx(mean(TODAY, "takings"), rel=0.03)


def test_one_more_evening_is_worth_almost_nothing_while_buyers_bind() -> None:
    """Less than a tenth of what the owner's hour is worth, for each hour more that is free."""
    assert most_lost(TODAY) == "buyers"
    more_h = mean(EVENING, "free_hours_h") - mean(TODAY, "free_hours_h")
    assert more_h > 100.0
    assert (mean(EVENING, "profit") - mean(TODAY, "profit")) / more_h < 0.1 * 8.0
    assert mean(EVENING, "profit") < 1.05 * mean(TODAY, "profit")


def test_any_number_of_buyers_moves_the_limit_to_hours_or_supply() -> None:
    assert most_lost(CROWDED) in ("hours", "supply", "pickups")
    assert lost_h(CROWDED)["buyers"] < 0.02 * lost_h(TODAY)["buyers"]
    assert mean(CROWDED, "sold_kg") > 1.5 * mean(TODAY, "sold_kg")


def test_clips_at_zero_leave_what_is_sold_untouched_as_it_was() -> None:
    assert mean(UNTOUCHED, "yard_receipts") > 0
    for priced, worthless in zip(runs(UNTOUCHED), runs(CLIPS_WORTHLESS), strict=True):
        assert worthless.measures == pytest.approx(priced.measures, nan_ok=True)
        assert worthless.ledger == priced.ledger


def along(text: str, *options: str) -> Along:
    """An input along a range, in the same few worlds."""
    (found,) = stress(scenario(), [text], points=3, replicates=4, options=options, seed=SEED).alongs
    return found


def test_along_the_supply_profit_rises_far_less_than_the_buckets_do() -> None:
    now, more, double = (
        one.mean for one in along("supply.town.settings.season*=1..2", TODAY).course(TODAY).levels
    )
    worked = mean(TODAY, "profit")
    assert more - now < 0.3 * worked
    assert double - now < 0.4 * worked


def test_along_the_buyers_who_know_of_the_business_another_brings_less_and_less() -> None:
    """What is lost to too few buyers is won, until hours or supply are short."""
    found = along("demand.casters.settings.known=0..22", TODAY).course(TODAY)
    few, half, many = (one.mean for one in found.levels)
    assert few < half < many
    assert many - half < half - few


@pytest.mark.parametrize(
    ("good", "unfelt"), [("clips", "not touched"), ("dross", "not touched"), ("weights", "")]
)
def test_along_its_price_only_the_weights_are_felt_by_what_is_sold_untouched(good: str, unfelt: str) -> None:
    assert along(f"rates.settings.{good}.mean*=0..2", UNTOUCHED).course(UNTOUCHED).unfelt == unfelt


def test_along_its_price_clips_are_felt_by_whoever_melts() -> None:
    found = along("rates.settings.clips.mean*=0..2", UNTOUCHED).course(TODAY)
    worthless, priced, dear = (one.mean for one in found.levels)
    assert worthless < priced < dear


def grown(option: str = TODAY) -> Growth:
    return grow(scenario(), option, replicates=4, seed=SEED)


def test_with_local_buyers_only_a_tenth_more_supply_or_another_evening_brings_far_less_than_a_tenth() -> None:
    """As what to grow first is found: each tried alone in the same worlds."""
    found = grown()
    worths = {one.key: one for one in found.worths}
    assert found.lost[0].limit == "buyers"
    assert worths["filling: town"].profit.mean < 0.06 * found.profit.mean
    assert worths["evening"].profit.mean < 0.05 * found.profit.mean
    assert worths["evening"].gain.mean / worths["evening"].amount / 52.0 < 0.1 * 8.0


def test_worthless_clips_leave_every_worth_of_what_is_sold_untouched_as_it_was() -> None:
    priced, worthless = grown(UNTOUCHED), grown(CLIPS_WORTHLESS)
    assert len(priced.worths) >= 8
    assert {one.key: one.gain.mean for one in worthless.worths} == pytest.approx(
        {one.key: one.gain.mean for one in priced.worths}
    )
    assert not {"burner", "mould", "pot"} & {one.key for one in priced.worths}
