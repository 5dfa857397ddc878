"""A month as one HTML page: everything in one file, nothing fetched, nothing run but its own script.

In: a ``Month``. Out: the page as bytes. Must not know: where it is put; how the answers were found.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Final

import jinja2
from markupsafe import Markup

from planner.report.charts import month_stock
from planner.report.charts.figure import QUICKLY
from planner.report.month_phrases import day_of
from planner.report.month_rows import shown
from planner.report.month_words import answers, left_out, minds, read_as, starts_from, there
from planner.report.page.safe import embedded, policy
from planner.report.page.script import script
from planner.study.month.answers import Month
from planner.trade.safety import DEFERENCE

_HERE: Final = "planner.report.page"


@QUICKLY
def page(month: Month) -> bytes:
    """The page of a month: UTF-8, the same for the same month and versions."""
    code = script()
    said = answers(month)
    text: str = _template().render(
        policy=policy([code]),
        script=Markup(code),
        style=Markup(_read("page.css")),
        embedded=embedded,
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
    return text.encode("utf-8", "backslashreplace")


def _read(name: str) -> str:
    return files(_HERE).joinpath(name).read_text("utf-8")


@cache
def _template() -> jinja2.Template:
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(_read("month.html.j2"))
