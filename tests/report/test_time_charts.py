from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from planner.report.charts import calendar, courses, limits, way
from planner.report.charts.figure import AGAIN, Figure
from planner.report.charts.time_axis import time_axis
from planner.report.page.build import figures, page
from planner.report.units import Reader
from planner.study import Study
from planner.study.monthly import month_names, monthly
from planner.study.picture import Stage
from planner.workshop.months import MONTH_FIGURES
from tests.report.made import study, three
from tests.report.pictures import days

READER = Reader("EUR", "metric")


def names_of(figure: Figure | None) -> list[tuple[int, int, str]]:
    """(row, week, month) of the months that a calendar names."""
    assert figure is not None
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
    over = time_axis(month_names(date(2026, 11, 1), 200)).to_dict()
    assert "['Nov', '2026']" in over["labelExpr"]
    assert "['Jan', '2027']" in over["labelExpr"]


def test_an_axis_of_days_tells_month_and_year_where_they_begin() -> None:
    weeks = time_axis(month_names(date(2026, 11, 14), 90)).to_dict()
    assert weeks["values"][:2] == ["2026-11-14", "2026-11-28"]
    for label in ("['14', 'Nov', '2026']", "['28']", "['12', 'Dec']", "['9', 'Jan', '2027']"):
        assert label in weeks["labelExpr"]
    week = time_axis(month_names(date(2026, 1, 1), 7)).to_dict()
    assert len(week["values"]) == 7
    assert time_axis(month_names(date(2026, 1, 1), 30)).to_dict()["values"] == [
        f"2026-01-{day:02}" for day in (1, 8, 15, 22, 29)
    ]


def test_squares_of_a_calendar_are_not_wide_however_few_there_are() -> None:
    month = calendar.draw(days(date(2026, 1, 1), 30), READER, "today", again=False)
    year = calendar.draw(days(date(2026, 1, 1), 365), READER, "today", again=False)
    assert month is not None
    assert year is not None
    assert 100 < month.most_px < 200
    assert year.most_px > 1200


def test_a_quarter_over_new_year_is_one_block_whose_january_tells_its_year() -> None:
    found = calendar.draw(days(date(2026, 11, 14), 90), READER, "today", again=False)
    assert names_of(found) == [(0, 0, "Nov"), (0, 3, "Dec"), (0, 7, "Jan 2027"), (0, 12, "Feb")]


def test_a_chart_that_can_tell_nothing_is_left_out_and_the_page_says_why() -> None:
    months = monthly(np.zeros((3, 1, len(MONTH_FIGURES), 60)), ["2026-01-01"], 0.95)
    made = replace(study(three(), days=1), months=months, pictures=(days(date(2026, 1, 1), 1),))
    assert figures(made)["courses"] == figures(made)["calendar"] == ()
    text = page(made).decode("utf-8")
    assert "Not drawn: 1 day has no course." in text
    assert "Not drawn: a calendar of melts and weather needs a week, and 1 day was played." in text
    longer = replace(study(three()), pictures=(days(date(2026, 1, 1), 365),))
    assert "Not drawn" not in page(longer).decode("utf-8")


def test_what_limits_is_told_by_what_the_months_are(garden_outlooks: Study) -> None:
    (first, *_) = limits.draw(garden_outlooks, ("as today",))
    assert first.title == "What held the business back, week by week: as today"
    assert first.how.startswith("One bar a week")
    assert first.columns[0] == "Week"
    cash = courses.draw_cash(garden_outlooks, ("as today",))
    assert cash is not None
    assert "at each week's end" in cash.how
    assert len(cash.rows) == 9


def test_a_bucket_s_way_tells_how_much_of_it_went_where() -> None:
    at = "2026-03-02T12:00"
    stages = (
        Stage("fetched", at, at, 0.0, 60.0, -12.0, who="Corner Tyres"),
        Stage("melted", at, "2026-03-02T15:00", 3.0, 25.0, 0.0, alloy="hard", charged_kg=30.0),
        Stage("sold", at, at, 0.0, 10.0, 30.0, who="casters", alloy="hard", price_per_kg=3.0),
        Stage("to the yard", at, at, 0.0, 15.0, 16.5, alloy="hard", price_per_kg=1.1),
        Stage("to the yard", at, at, 0.0, 25.0, 12.5, price_per_kg=0.5),
        Stage("left over", at, at, 0.0, 5.0, 0.0),
    )
    found = way.draw(replace(days(date(2026, 3, 1), 30), lot=3, way=stages), READER)
    assert found is not None
    order = found.chart.to_dict()["layer"][0]["encoding"]["y"]["sort"]
    assert order == [
        "fetched 60 kg",
        "melted, cast 25 kg",
        "sold 10 kg",
        "to the yard 40 kg",
        "not sold 5 kg",
    ]
    words = [(row[0], row[2]) for row in found.rows if row[1] == "to the yard"]
    assert words == [
        ("2026-03-02 12:00", "15.0 kg of hard ingots to the yard at 1.10 a kg"),
        ("2026-03-02 12:00", "25.0 kg of weights as they came to the yard at 0.50 a kg"),
    ]
    assert found.rows[-1][2] == "5.0 kg of weights as they came, still there at the end"
