"""A month as one HTML page: everything in one file, nothing fetched, nothing run but its own script.

In: a ``Month``. Out: the page as bytes. Must not know: where it is put; how the answers were found.
"""

from __future__ import annotations

from planner.report.charts import month_stock
from planner.report.charts.figure import QUICKLY
from planner.report.month_phrases import day_of
from planner.report.month_rows import shown
from planner.report.month_words import answers, left_out, minds, read_as, starts_from, there
from planner.report.page.rendering import rendered
from planner.study.month.answers import Month
from planner.trade.safety import DEFERENCE


@QUICKLY
def page(month: Month) -> bytes:
    """The page of a month: UTF-8, the same for the same month and versions."""
    said = answers(month)
    return rendered(
        "month.html.j2",
        month=month,
        start=day_of(month.today.start),
        until=day_of(month.today.until),
        answers=said,
        tables={one.key: shown(month, one.key) for one in said},
        left_out=left_out(month),
        there=there(month),
        starts_from=starts_from(month),
        read_as=read_as(month),
        minds=minds(month),
        stock=month_stock.draw(month),
        deference=DEFERENCE,
    )
