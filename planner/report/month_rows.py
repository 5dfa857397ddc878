"""The figures of a month as a table: one row a figure.

In: a ``Month``. Out: rows, as numbers for files and as texts for readers. Must not know: where they are shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import nan
from typing import Final, NamedTuple

from planner.report.csv_text import Cell
from planner.report.month_phrases import day_of, reader_of
from planner.report.phrases import told
from planner.report.units import KM_PER_MILE, Reader, number, signed
from planner.study import Interval
from planner.study.month.answers import Gain, Month, Range


class Row(NamedTuple):
    """One figure: of which question and case, its unit, its value with the range it lies in, the share of worlds."""

    question: str
    case: str
    figure: str
    unit: str
    value: float
    low: float
    high: float
    share: float


COLUMNS: Final = Row._fields
"""``low`` and ``high`` are ends of an interval of a mean, or one world in ten below and above; figures say which."""
WORTH: Final = "worth until the end"


def rows(month: Month) -> Iterator[Row]:
    """Every figure, question by question."""
    yield from _buckets(month)
    if month.untouched is not None:
        yield _gain(
            "melt", "melting, against selling untouched", "more money", month.currency, month.untouched
        )
    if month.untouched_sale is not None:
        figure = "more money, what is left at what it sells for"
        yield _gain(
            "melt", "melting, against selling untouched", figure, month.currency, month.untouched_sale
        )
    for price in month.price.rows if month.price else ():
        yield _gain(
            "price", f"{number(100 * price.factor)} % of today's", "more money", month.currency, price.gain
        )
    for drop in month.drops:
        there = Range(drop.low_kg, drop.middle_kg, drop.high_kg)
        yield _spread("drop", drop.day, "ingots expected", "kg", there)
        for level in drop.rows:
            figure = f"more money at the lower price, {level.stock_kg:.0f} kg left"
            yield _gain("drop", drop.day, figure, month.currency, level.gain)
    if month.lighting:
        light = month.lighting
        yield _gain("light", light.day, "more money than without fire", month.currency, light.gain)
        where = "more money than without fire, where metal is cast"
        yield _gain("light", light.day, where, month.currency, light.gain_cast)
        yield Row("light", light.day, "metal cast", "kg", light.cast_kg, nan, nan, light.cast_share)
    yield from _shops(month)
    yield _spread("left", "the end", "ingots", "kg", month.left.ingots)
    yield _spread("left", "the end", "weights", "kg", month.left.weights)
    yield _spread("left", "until the end", "lowest cash", month.currency, month.left.lowest_cash)
    yield _spread("left", "until the end", "money after hours", month.currency, month.money)
    for stock in month.left.course:
        yield _spread("stock", stock.day, "ingots", "kg", stock.ingots)
        yield _spread("stock", stock.day, "weights", "kg", stock.weights)


def cells(month: Month) -> Iterator[Sequence[Cell]]:
    """Every figure for a file."""
    yield from rows(month)


def shown(month: Month, question: str) -> list[tuple[str, str, str, str, str]]:
    """The figures of one question as its reader wants them: case, figure, value, from-to, share of worlds."""
    reader = reader_of(month)
    return [
        (_case(row, reader), _figure(row, reader), *_amounts(row, reader), _share(row.share))
        for row in rows(month)
        if row.question == question
    ]


def _buckets(month: Month) -> Iterator[Row]:
    if month.buckets and month.buckets.promised:
        yield _gain(
            "buckets", "the promised", "all of them, paid and fetched", month.currency, month.buckets.promised
        )
    for row in month.buckets.rows if month.buckets else ():
        case = f"{row.number} more"
        yield _gain("buckets", case, "the last one at your door", month.currency, row.worth)
        yield _gain("buckets", case, "each of them at your door", month.currency, row.each)
        yield _gain("buckets", case, "all of them, paid and fetched", month.currency, row.net)


def _shops(month: Month) -> Iterator[Row]:
    for shop in month.shops:
        yield _gain(
            "shops",
            shop.name,
            WORTH if shop.known else f"{WORTH}, if it says yes",
            month.currency,
            shop.worth,
        )
        if not shop.known:
            yield _interval("shops", shop.name, "asking for it, on average", month.currency, shop.courted)
        yield _interval("shops", shop.name, "your hours more", "h", shop.hours_h)
        yield _interval("shops", shop.name, "driven more", "km", shop.km)
        yield Row(
            "shops", shop.name, "money for each hour", f"{month.currency}/h", shop.per_hour, nan, nan, nan
        )
        yield Row(
            "shops",
            shop.name,
            "money for each unit of distance",
            f"{month.currency}/km",
            shop.per_km,
            nan,
            nan,
            nan,
        )


def _gain(question: str, case: str, figure: str, unit: str, gain: Gain) -> Row:
    return _interval(question, case, figure, unit, gain.more)._replace(share=gain.share)


def _interval(question: str, case: str, figure: str, unit: str, found: Interval) -> Row:
    found = told(found)
    return Row(question, case, figure, unit, found.mean, found.low, found.high, nan)


def _spread(question: str, case: str, figure: str, unit: str, found: Range) -> Row:
    return Row(question, case, f"{figure}, middle world", unit, found.middle, found.low, found.high, nan)


def _case(row: Row, reader: Reader) -> str:
    """A case in the reader's words: dates told, masses in the reader's unit."""
    if row.question in ("drop", "light") and row.case[:4].isdigit() and row.case.count("-") == 2:
        return day_of(row.case)
    return row.case


def _figure(row: Row, reader: Reader) -> str:
    """A figure's name in the reader's words."""
    said, _, kg = row.figure.removesuffix(" kg left").rpartition(", ")
    if row.figure.endswith(" kg left") and reader.us:
        return f"{said}, {reader.mass(float(kg), 0)} lb left"
    return row.figure


def _amounts(row: Row, reader: Reader) -> tuple[str, str]:
    """The value with its unit, and the range."""
    if row.unit == "kg":
        value, low, high = (reader.mass(one, 0) for one in (row.value, row.low, row.high))
        unit: str = reader.mass_unit
    else:
        decimals = 2 if "/" in row.unit else 0
        sign = signed if row.figure.startswith("more") else number
        unit, times = row.unit, 1.0
        if reader.us and unit.endswith("km"):
            times = KM_PER_MILE if "/" in unit else 1.0 / KM_PER_MILE
            unit = unit.removesuffix("km") + ("mile" if "/" in unit else "miles")
        value, low, high = (sign(times * one, decimals) for one in (row.value, row.low, row.high))
    span = f"{low} … {high}" if row.low == row.low else ""
    return (f"{value} {unit}" if row.value == row.value else "n/a", span)


def _share(share: float) -> str:
    return f"{number(100 * share)} %" if share == share else ""
