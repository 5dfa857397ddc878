"""A look back as one HTML page: everything in one file, nothing fetched, nothing run but its own script.

In: a ``Backtest``. Out: the page as bytes. Must not know: where it is put; how it was found.
"""

from __future__ import annotations

from planner.fit.backtest import Backtest
from planner.report.backtest_asides import minds, read_as, starts_from
from planner.report.backtest_rows import HEADS, shown
from planner.report.backtest_words import answers
from planner.report.charts import backtest
from planner.report.charts.figure import QUICKLY
from planner.report.month_phrases import day_of
from planner.report.page.rendering import rendered
from planner.trade.safety import DEFERENCE


@QUICKLY
def page(found: Backtest) -> bytes:
    """The page of a look back: UTF-8, the same for the same look and versions."""
    return rendered(
        "backtest.html.j2",
        found=found,
        start=day_of(found.second_from.isoformat()),
        until=day_of(found.second_until.isoformat()),
        answers=answers(found),
        minds=minds(found),
        starts_from=starts_from(found),
        read_as=read_as(found),
        heads=HEADS,
        rows=tuple(shown(found)),
        figures=tuple(backtest.draw(found)),
        deference=DEFERENCE,
    )
