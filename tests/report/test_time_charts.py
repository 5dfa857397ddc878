from __future__ import annotations

from datetime import date

from planner.report.charts import calendar
from planner.report.charts.figure import AGAIN, Figure
from planner.report.charts.time_axis import time_axis
from planner.report.units import Reader
from planner.study.monthly import month_names
from tests.report.pictures import days

READER = Reader("EUR", "metric")


def names_of(figure: Figure) -> list[tuple[int, int, str]]:
    """(row, week, month) of the months that a calendar names."""
    _, months = figure.chart.to_dict()["layer"]
    return [(one["d"], one["w"], one["m"]) for one in months["data"]["values"]]


def test_three_years_are_one_calendar_that_is_explained_once_and_names_each_year() -> None:
    found = calendar.draw(days(date(2026, 1, 1), 3 * 365), READER, "today", again=False)
    labels = found.chart.to_dict()["layer"][0]["encoding"]["y"]["axis"]["labelExpr"]
    assert [labels.count(str(year)) for year in range(2026, 2029)] == [2, 2, 2]  # narrow and wide
    januaries = [(row, week) for row, week, month in names_of(found) if month == "Jan"]
    assert januaries == [(0, 0), (8, 0), (16, 0)]
    assert len(names_of(found)) == 36
    assert [row[0] for row in found.rows] == list(month_names(date(2026, 1, 1), 3 * 365))
    assert "2026" not in found.title
    assert calendar.draw(days(date(2026, 1, 1), 365), READER, "after", again=True).how == AGAIN


def test_a_day_stands_in_the_row_of_its_weekday_and_its_year() -> None:
    found = calendar.draw(days(date(2026, 1, 1), 730), READER, "today", again=False)
    squares = found.chart.to_dict()["layer"][0]["data"]["values"]
    assert (squares[0]["w"], squares[0]["d"]) == (0, 4)  # a Thursday
    assert (squares[365]["w"], squares[365]["d"]) == (0, 8 + 5)  # 2027 begins on a Friday
    assert {one["d"] % 8 for one in squares if one["s"] == "melted"} == {6}


def test_names_of_months_do_not_touch() -> None:
    found = calendar.draw(days(date(2026, 1, 28), 60), READER, "today", again=False)
    assert [month for _, _, month in names_of(found)] == ["Feb", "Mar"]


def test_an_axis_of_months_tells_the_year_at_its_start_and_at_each_january() -> None:
    three = time_axis(month_names(date(2026, 1, 1), 3 * 365)).to_dict()
    for year in ("2026", "2027", "2028"):
        assert f"['Jan', '{year}']" in three["labelExpr"]
        assert f"['J', '{year}']" in three["labelExpr"]
    assert three["labelExpr"].count("'2027'") == 2
    assert "['Apr']" in three["labelExpr"]
    assert "['A']" not in three["labelExpr"]  # a phone has room for half-years
    assert three["values"][:3] == ["2026-01", "2026-04", "2026-07"]
    over = time_axis(month_names(date(2026, 11, 1), 120)).to_dict()
    assert "['Nov', '2026']" in over["labelExpr"]
    assert "['Jan', '2027']" in over["labelExpr"]
