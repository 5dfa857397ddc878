"""A world looked at closely, made by hand: days without a run."""

from __future__ import annotations

from datetime import date, timedelta

from planner.study.picture import DayRow, Picture


def days(start: date, count: int) -> Picture:
    """It is melted each Saturday, the other days are not free."""
    those = [start + timedelta(days=i) for i in range(count)]
    return Picture(
        "as today",
        0,
        tuple(
            DayRow(
                day.isoformat(),
                "melted" if day.weekday() == 5 else "not free",
                "",
                9.0 if day.weekday() == 5 else 0.0,
                5.0 if day.weekday() == 5 else 0.0,
                20.0 if day.weekday() == 5 else 0.0,
                10.0,
                2.0,
                0.0,
            )
            for day in those
        ),
        0,
        (),
    )
