"""What happened week by week, off the tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from math import nan
from typing import Any

import pandas as pd
import pytest

from planner.fit.weekly import FIGURES, Stretch, counts, kept, span
from planner.records.records import Records, filled
from planner.records.tables import TABLES

MONDAY = date(2026, 3, 2)


def records(**tables: Sequence[Mapping[str, Any]]) -> Records:
    """Tables of these rows, the others empty; dates as texts."""

    def dated(row: Mapping[str, Any]) -> dict[str, Any]:
        return {key: pd.Timestamp(value) if key in ("date", "month") else value for key, value in row.items()}

    return Records(
        {name: filled(table, [dated(row) for row in tables.get(name, ())]) for name, table in TABLES.items()}
    )


def test_a_row_counts_in_the_week_of_its_day_and_nowhere_else() -> None:
    kept_by = records(
        melts=[
            {"date": "2026-03-01", "weights_kg": 99.0, "ingots_kg": 9.0, "hours_h": 9.0},
            {"date": "2026-03-02", "weights_kg": 40.0, "ingots_kg": 20.0, "hours_h": 3.0},
            {"date": "2026-03-08", "weights_kg": 10.0, "ingots_kg": 5.0, "hours_h": 1.0},
            {"date": "2026-03-15", "weights_kg": 7.0, "ingots_kg": 4.0, "hours_h": 0.5},
            {"date": "2026-03-16", "weights_kg": 99.0, "ingots_kg": 9.0, "hours_h": 9.0},
        ]
    )
    found = counts(kept_by, Stretch(MONDAY, 2), FIGURES)
    assert found["melted_kg"].tolist() == [50.0, 7.0]
    assert found["cast_kg"].tolist() == [25.0, 4.0]
    assert found["pot_h"].tolist() == [4.0, 0.5]


def test_a_visit_in_vain_is_no_bucket_and_no_mass() -> None:
    kept_by = records(
        pickups=[
            {"date": "2026-03-03", "shop": "A", "bucket_kg": 58.0},
            {"date": "2026-03-03", "shop": "B", "bucket_kg": nan},
        ]
    )
    found = counts(kept_by, Stretch(MONDAY, 1), FIGURES)
    assert (found["buckets"].tolist(), found["fetched_kg"].tolist()) == ([1.0], [58.0])


def test_money_of_a_sale_is_what_is_written_or_price_times_mass() -> None:
    kept_by = records(
        sales=[
            {"date": "2026-03-03", "sold_kg": 10.0, "price_per_kg": 4.0},
            {"date": "2026-03-04", "sold_kg": 10.0, "price_per_kg": 4.0, "money": 35.0},
        ]
    )
    assert counts(kept_by, Stretch(MONDAY, 1), FIGURES)["sales_money"].tolist() == [75.0]


def test_only_months_that_lie_in_it_whole_are_counted() -> None:
    kept_by = records(
        asked=[
            {"month": "2026-03-31", "did_not_buy": 9.0},
            {"month": "2026-04-05", "did_not_buy": 2.0},
            {"month": "2026-04-30", "did_not_buy": 1.0, "buyers": "anglers"},
            {"month": "2026-05-31", "did_not_buy": 9.0},
        ]
    )
    stretch = Stretch(MONDAY, 12)  # until 24 May
    assert stretch.months == (date(2026, 4, 1),)
    assert counts(kept_by, stretch, FIGURES)["turned_away"].tolist() == [3.0]
    assert Stretch(date(2026, 4, 1), 4).months == ()  # until 28 April
    assert Stretch(date(2026, 2, 1), 4).months == (date(2026, 2, 1),)


def test_a_month_s_row_says_nothing_of_when_writing_began() -> None:
    kept_by = records(
        asked=[{"month": "2026-01-01", "did_not_buy": 1.0}],
        sales=[{"date": "2026-03-03", "sold_kg": 1.0, "price_per_kg": 4.0}],
    )
    assert span(kept_by) == (date(2026, 3, 3), date(2026, 3, 3))
    assert span(records()) is None


@pytest.mark.parametrize(("day", "is_kept"), [("2026-03-01", True), ("2026-03-02", False)])
def test_a_figure_is_told_where_its_table_was_kept_before(day: str, is_kept: bool) -> None:
    kept_by = records(hours=[{"date": day, "activity": "melt", "hours_h": 2.0}])
    assert [one.key for one in kept(kept_by, MONDAY)] == (["hours_h"] if is_kept else [])
