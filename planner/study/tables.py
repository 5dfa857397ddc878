"""A study as plain tables: the same rows for files, data frames and whoever else reads them.

In: a ``Study``. Out: tables with a header and rows of text and numbers, in a fixed order.
Must not know: files, how anything is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from planner.study.intervals import Intervals
from planner.study.study import DECIDING, Study

FIRST: Final = (DECIDING, "profit", "hours_h", "exposure_h", "highest_lifting_index", "lowest_cash")
"""Measures whose columns come first in the table of options: what a choice is read from."""

Cell = str | int | float | None


class Table(NamedTuple):
    """A header, and rows as wide as it."""

    columns: tuple[str, ...]
    rows: list[tuple[Cell, ...]]


def runs(study: Study) -> Table:
    """One row a run, by option, outlook and replicate; then every measure, nan where a run failed."""
    columns = ("option", "outlook", "replicate", *(one.name for one in study.measures))
    rows: list[tuple[Cell, ...]] = []
    for o, option in enumerate(study.names):
        for w, outlook in enumerate(study.outlooks):
            played = study.values[o, w].T.tolist()
            rows += [(option, outlook, number, *values) for number, values in enumerate(played)]
    return Table(columns, rows)


def options(study: Study) -> Table:
    """One row an option and outlook.

    The hard limits broken (``refused``, empty if none), start-up cost and resale; then of every measure mean, low and
    high, and the same of its paired difference to the base: ``FIRST`` before the others; last ``runs`` that have a
    result, runs that ``failed``, and ``pairing_saved``.
    """
    order, columns = _measures_in_order(study), ["option", "outlook", "refused", "start_up_cost", "resale"]
    for m in order:
        for what in (study.measures[m].name, f"{study.measures[m].name}_difference"):
            columns += [f"{what}_mean", f"{what}_low", f"{what}_high"]
    columns += ["runs", "failed", "pairing_saved"]
    return Table(tuple(columns), list(_option_rows(study, order)))


def _measures_in_order(study: Study) -> list[int]:
    """Columns of the measures: what a choice is read from first, then the table's own order."""
    names = [one.name for one in study.measures]
    first = [names.index(name) for name in FIRST if name in names]
    return first + [m for m in range(len(names)) if m not in first]


def _option_rows(study: Study, order: Sequence[int]) -> Iterator[tuple[Cell, ...]]:
    failed: dict[tuple[str, str], int] = {}
    for one in study.failures:
        failed[one.option, one.outlook] = failed.get((one.option, one.outlook), 0) + 1
    for o, option in enumerate(study.options):
        for w, outlook in enumerate(study.outlooks):
            without = failed.get((option.name, outlook), 0)
            broken = study.refusals.get((option.name, outlook), ())
            row: list[Cell] = [
                option.name,
                outlook,
                "; ".join(refusal.limit for refusal in broken),
                option.start_up_cost,
                option.resale,
            ]
            for m in order:
                row += [*_three(study.levels, o, w, m), *_three(study.differences, o, w, m)]
            row += [study.subject.replicates - without, without, float(study.sample.pairing_saved[o, w])]
            yield tuple(row)


def _three(found: Intervals, *index: int) -> tuple[float, float, float]:
    one = found.at(*index)
    return one.mean, one.low, one.high


MONTH_COLUMNS: Final = ("mean", "mean_low", "mean_high", "low", "middle", "high")
"""Of each figure of a month; see :class:`planner.study.monthly.Monthly`."""


def months(study: Study) -> Table:
    """One row an option, month and figure, under the first outlook: mean and its interval; spread over the worlds."""
    found, rows = study.months, list[tuple[Cell, ...]]()
    columns = ("option", "month", "figure", *MONTH_COLUMNS)
    if found is not None:
        every = np.stack([getattr(found, name) for name in MONTH_COLUMNS], axis=-1).tolist()
        for name, by_month in zip(study.names, every, strict=True):
            for month, figures in zip(found.months, by_month, strict=True):
                rows += [
                    (name, month, figure.name, *values)
                    for figure, values in zip(found.figures, figures, strict=True)
                ]
    return Table(columns, rows)


def failures(study: Study) -> Table:
    """One row a run without a result: what was raised and the command that repeats it."""
    return Table(
        ("option", "outlook", "replicate", "kind", "summary", "repeat", "traceback"),
        [
            (one.option, one.outlook, one.replicate, one.kind, one.summary, one.repeat, one.traceback)
            for one in study.failures
        ],
    )
