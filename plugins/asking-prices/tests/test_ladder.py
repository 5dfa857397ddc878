"""A stock ladder: less the more metal lies and the longer it lies, never below a floor."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.world.parts import ALLOYS, CHANNELS, PriceView

Make = Callable[..., Any]
See = Callable[..., PriceView]
LISTED = {"private": {"hard": "5 EUR/kg", "soft": "6 EUR/kg"}}
BY_STOCK = [{"from": "40 kg", "less_share": 0.1}, {"from": "80 kg", "less_share": 0.2}]
BY_AGE = [{"after": "60 days", "less_share": 0.05}, {"after": "120 days", "less_share": 0.5}]


@pytest.fixture(scope="session")
def ladder(model: Make) -> Make:
    def make(**changes: Any) -> Any:
        return model("ladder", {**LISTED, "by_stock": BY_STOCK, "by_age": BY_AGE, **changes})

    return make


@pytest.mark.parametrize(
    ("kg", "days", "per_kg"),
    [
        (39.9, 59.9, 5.0),
        (40.0, 0.0, 4.5),
        (79.9, 0.0, 4.5),
        (80.0, 0.0, 4.0),
        (10.0, 60.0, 4.75),
        (80.0, 60.0, 3.8),
        (80.0, 200.0, 2.0),
    ],
)
def test_each_step_takes_its_share_off_and_age_comes_on_top_of_stock(
    kg: float, days: float, per_kg: float, ladder: Make, view: See
) -> None:
    seen = view(kg, oldest_days=days)
    assert ladder().quote(seen, "hard", 5.0, "private") == pytest.approx(per_kg)


def test_only_the_alloy_that_is_asked_for_counts(ladder: Make, view: See) -> None:
    seen = view()._replace(stock_kg={"hard": 10.0, "soft": 90.0})
    assert ladder().quote(seen, "hard", 5.0, "private") == 5.0
    assert ladder().quote(seen, "soft", 5.0, "private") == pytest.approx(4.8)
    assert ladder().quote(seen, "mixed", 5.0, "private") == 5.0


def test_every_way_of_selling_has_a_floor_of_its_own(ladder: Make, view: See) -> None:
    of = ladder(never_below={"private": "3 EUR/kg", "bulk": "2 EUR/kg", "post": "4 EUR/kg"})
    old = view(90.0, oldest_days=200.0)
    assert [of.quote(old, "hard", 5.0, channel) for channel in CHANNELS] == [3.0, 2.0, 4.0]
    assert of.quote(old, "zinced", 5.0, "private") == 1.5


def test_the_yards_own_price_is_not_undercut_unless_it_is_waived(ladder: Make, view: See) -> None:
    old = view(90.0, oldest_days=200.0, yard_per_kg=2.5, yard_zinced_per_kg=1.2)
    assert ladder().quote(old, "hard", 5.0, "private") == 2.5
    assert ladder().quote(old, "zinced", 5.0, "private") == 1.2
    assert ladder(never_below_yard=False).quote(old, "hard", 5.0, "private") == pytest.approx(2.0)


reached = st.floats(0.0, 250.0)


def steps(key: str, unit: str) -> st.SearchStrategy[list[dict[str, Any]]]:
    rows = st.lists(
        st.tuples(st.integers(1, 200), st.integers(1, 99)),
        min_size=1,
        max_size=5,
        unique_by=(lambda row: row[0], lambda row: row[1]),
    )
    return rows.map(
        lambda found: [
            {key: f"{start} {unit}", "less_share": less / 100.0}
            for start, less in zip(sorted(r[0] for r in found), sorted(r[1] for r in found), strict=True)
        ]
    )


@settings(deadline=None, derandomize=True)
@given(
    by_stock=steps("from", "kg"), by_age=steps("after", "days"), floor=st.floats(0.0, 5.0).map(lambda x: round(x, 2)),
    kg=st.tuples(reached, reached), days=st.tuples(reached, reached),
    alloy=st.sampled_from(ALLOYS), channel=st.sampled_from(CHANNELS),
)  # fmt: skip
def test_more_metal_or_older_metal_is_never_dearer_and_no_floor_is_undercut(
    by_stock: Any,
    by_age: Any,
    floor: float,
    kg: Any,
    days: Any,
    alloy: Any,
    channel: Any,
    ladder: Make,
    view: See,
) -> None:
    floors = dict.fromkeys(CHANNELS, f"{floor} EUR/kg")
    of = ladder(by_stock=by_stock, by_age=by_age, never_below=floors)

    def asked(stock_kg: float, oldest_days: float) -> float:
        price: float = of.quote(view(stock_kg, oldest_days=oldest_days), alloy, 5.0, channel)
        return price

    assert asked(max(kg), days[0]) <= asked(min(kg), days[0])
    assert asked(kg[0], max(days)) <= asked(kg[0], min(days))
    lowest = asked(1000.0, 1000.0)
    assert lowest >= (max(0.5 * floor, 0.4) if alloy == "zinced" else max(floor, 1.3))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"by_stock": [], "by_age": []}, "a ladder without a step is a fixed price"),
        ({"by_stock": BY_STOCK[::-1]}, "the steps stand in order of amount"),
        ({"by_age": BY_AGE[::-1]}, "the steps stand in order of age"),
        ({"by_stock": [{"from": "40 kg", "less_share": 1.0}]}, "less than 1"),
        ({"by_age": [{"after": "40", "less_share": 0.1}]}, "40 has no unit"),
    ],
)
def test_a_ladder_that_makes_no_sense_is_refused(changes: dict[str, Any], told: str, ladder: Make) -> None:
    with pytest.raises(ValidationError) as caught:
        ladder(**changes)
    assert told in str(caught.value)


def test_steps_by_stock_alone_or_by_age_alone_are_a_ladder(ladder: Make, view: See) -> None:
    seen = view(90.0, oldest_days=130.0)
    assert ladder(by_age=[]).quote(seen, "hard", 5.0, "private") == 4.0
    assert ladder(by_stock=[]).quote(seen, "hard", 5.0, "private") == 2.5


def test_tin_has_a_price_of_its_own(ladder: Make, view: See) -> None:
    assert ladder(tin="31 EUR/kg").tin(view()) == 31.0
