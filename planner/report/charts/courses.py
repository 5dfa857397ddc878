"""Cash and stock from month to month (of a short time by week or day), with the spread over the worlds.

In: a ``Study`` and the options to show. Out: ``Figure`` values. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

import altair as alt

from planner.report.charts.figure import (
    AGAIN,
    AHEAD,
    BLUE,
    ORANGE,
    TODAY,
    Figure,
    Mark,
    colours,
    data,
    finished,
)
from planner.report.charts.time_axis import time_axis
from planner.report.phrases import reader_of, too_few
from planner.report.units import number
from planner.study import Study

LEAST: Final = 2
"""Of fewer ends of months, weeks or days there is no course."""

_LINE: Final = "Line: the middle world, at each {period}'s end."
_BAND: Final = (
    "Line: the middle world. Band: from the world that only one in ten falls below to the one that only one in ten "
    "exceeds, at each {period}'s end."
)


def draw_cash(study: Study, options: Sequence[str]) -> Figure | None:
    """Cash at each month's end."""
    wanted = [(name, "cash", name) for name in options]
    marks = [Mark(name, colour, "━") for name, colour in zip(options, (TODAY, AHEAD), strict=False)]
    currency = study.subject.currency
    return _course(study, wanted, marks, float, ("cash", "Cash", currency), "Below zero you owe money.")


def draw_stock(study: Study, option: str, key: str, again: bool) -> Figure | None:
    """Ingots and weights at each month's end; ``again``: it stands below one that is read alike."""
    reader = reader_of(study.subject)
    wanted = [
        (option, "ingots_stock_kg", "ingots in stock"),
        (option, "weights_stock_kg", "weights waiting, not melted"),
    ]
    marks = [Mark(series, colour, "━") for (_, _, series), colour in zip(wanted, (BLUE, ORANGE), strict=True)]
    return _course(
        study,
        wanted,
        marks,
        reader.mass_value,
        (f"stock-{key}", f"Stock: {option}", reader.mass_unit),
        None if again else "Stock that only grows is metal nobody has asked for yet.",
    )


def _course(
    study: Study,
    wanted: Sequence[tuple[str, str, str]],
    marks: Sequence[Mark],
    shown: Callable[[float], float],
    told: tuple[str, str, str],
    how: str | None,
) -> Figure | None:
    months = study.months
    if months is None or len(months.months) < LEAST:
        return None
    few = bool(too_few(study.subject.replicates))
    if few:
        months = months.without_ranges()
    key, title, unit = told
    period = months.period.capitalize()
    rows: list[dict[str, Any]] = []
    for option, figure, series in wanted:
        o, f = study.row(option), months.column(figure)
        for m, month in enumerate(months.months):
            low, middle, high = (
                shown(float(one[o, m, f])) for one in (months.low, months.middle, months.high)
            )
            if middle == middle:
                rows.append({"month": month, "series": series, "low": low, "middle": middle, "high": high})
    drawn = [{name: None if value != value else value for name, value in row.items()} for row in rows]
    if not rows:
        return None
    base = alt.Chart(data(drawn)).encode(
        x=alt.X("month:O", title=None, axis=time_axis(months.months)),
        color=colours("series", marks),
        tooltip=[
            alt.Tooltip("month:O", title=period),
            alt.Tooltip("series:N", title="Of"),
            alt.Tooltip("low:Q", format=",.0f", title="one in ten below"),
            alt.Tooltip("middle:Q", format=",.0f", title="the middle"),
            alt.Tooltip("high:Q", format=",.0f", title="one in ten above"),
        ],
    )
    band = base.mark_area(opacity=0.2).encode(y=alt.Y("low:Q", title=unit), y2=alt.Y2("high:Q"))
    line = base.mark_line(strokeWidth=2.2, point=alt.OverlayMarkDef(filled=True, size=28)).encode(
        y=alt.Y("middle:Q", title=unit), strokeDash=alt.StrokeDash("series:N", legend=None)
    )
    return Figure(
        key,
        title,
        AGAIN if how is None else f"{(_LINE if few else _BAND).format(period=months.period)} {how}",
        finished(line if few else band + line, 200),
        (period, "Of", f"one in ten below [{unit}]", f"middle [{unit}]", f"one in ten above [{unit}]"),
        [
            (
                row["month"],
                row["series"],
                number(row["low"]),
                number(row["middle"]),
                number(row["high"]),
            )
            for row in rows
        ],
        marks,
    )
