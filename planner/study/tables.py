"""A study as plain tables: the same rows for files, data frames and whoever else reads them.

In: a ``Study``. Out: tables with a header and rows of text and numbers, in a fixed order.
Must not know: files, how anything is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.study.intervals import Intervals
from planner.study.sample import DECIDING, Sample
from planner.study.study import Purpose, Study
from planner.study.unknown import Unknown

FIRST: Final = (DECIDING, "profit", "hours_h", "exposure_h", "highest_lifting_index", "lowest_cash")
"""Measures whose columns come first in the table of options: what a choice is read from."""

Cell = str | int | float | None


class Table(NamedTuple):
    """A header, and rows as wide as it."""

    columns: tuple[str, ...]
    rows: list[tuple[Cell, ...]]


RUN_KEYS: Final = ("option", "outlook", "replicate", "used_for")
"""First columns of the table of runs."""


def runs(study: Study) -> Table:
    """One row a run, by what it was played for, option, outlook and replicate; then every measure, nan where it failed.

    ``used_for``: ``comparison`` of all options, ``choice`` between those that might still be best, ``confirmation``.
    """
    rows: list[tuple[Cell, ...]] = []
    for purpose, sample in study.samples.items():
        there = played(study, sample)
        for o, option in enumerate(sample.options):
            for w, outlook in enumerate(sample.outlooks):
                for r, values in enumerate(sample.values[o, w].T.tolist()):
                    if there[o, w, r]:
                        rows.append((option, outlook, sample.first_world + r, purpose, *values))
    return Table((*RUN_KEYS, *(one.name for one in study.measures)), rows)


def played(study: Study, sample: Sample) -> NDArray[np.bool_]:
    """Which runs of a sample there are, failed ones too; shape (options, outlooks, worlds)."""
    found: NDArray[np.bool_] = ~np.isnan(sample.deciding)
    worlds = range(sample.first_world, sample.first_world + sample.worlds)
    for one in study.failures:
        if one.option in sample.options and one.outlook in sample.outlooks and one.replicate in worlds:
            at = sample.row(one.option), sample.outlooks.index(one.outlook)
            found[*at, one.replicate - worlds.start] = True
    return found


def options(study: Study, purpose: Purpose = "comparison") -> Table:
    """One row an option and outlook, in the worlds that all met or that were played for another purpose.

    The hard limits broken (``refused``, empty if none), start-up cost and resale; then of every measure mean, low and
    high, and the same of its paired difference to the base: ``FIRST`` before the others; last ``runs`` that have a
    result, runs that ``failed``, and ``pairing_saved``.
    """
    order, columns = _measures_in_order(study), ["option", "outlook", "refused", "start_up_cost", "resale"]
    for m in order:
        for what in (study.measures[m].name, f"{study.measures[m].name}_difference"):
            columns += [f"{what}_mean", f"{what}_low", f"{what}_high"]
    columns += ["runs", "failed", "pairing_saved"]
    sample = study.samples.get(purpose)
    return Table(tuple(columns), [] if sample is None else list(_option_rows(study, sample, order)))


def _measures_in_order(study: Study) -> list[int]:
    """Columns of the measures: what a choice is read from first, then the table's own order."""
    names = [one.name for one in study.measures]
    first = [names.index(name) for name in FIRST if name in names]
    return first + [m for m in range(len(names)) if m not in first]


def _option_rows(study: Study, sample: Sample, order: Sequence[int]) -> Iterator[tuple[Cell, ...]]:
    known = {one.name: one for one in study.options}
    there = ~np.isnan(sample.deciding)
    failed = played(study, sample) & ~there
    for o, option in enumerate(known[name] for name in sample.options):
        for w, outlook in enumerate(sample.outlooks):
            broken = study.refusals.get((option.name, outlook), ())
            row: list[Cell] = [
                option.name,
                outlook,
                "; ".join(refusal.limit for refusal in broken),
                option.start_up_cost,
                option.resale,
            ]
            for m in order:
                row += [*_three(sample.levels, o, w, m), *_three(sample.differences, o, w, m)]
            row += [int(there[o, w].sum()), int(failed[o, w].sum()), float(sample.pairing_saved[o, w])]
            yield tuple(row)


def _three(found: Intervals, *index: int) -> tuple[float, float, float]:
    one = found.at(*index)
    return one.mean, one.low, one.high


SPREAD_COLUMNS: Final = ("median", "p10", "p90", "below_zero_share")
"""Of each figure that decides: a value with its interval; see :class:`planner.study.spread.Spread`."""


def spread(study: Study) -> Table:
    """One row a purpose, option, outlook and figure: how it spreads over the worlds.

    The figures are the measure that decides and its paired difference to the base. Of median, tenth, nine tenths and
    the share of the worlds below zero each its value, low and high; then ``worst_tenth``, approximate and only from so
    many worlds on, and the number of ``worlds``.
    """
    columns = ["used_for", "option", "outlook", "figure"]
    for name in SPREAD_COLUMNS:
        columns += [name, f"{name}_low", f"{name}_high"]
    rows: list[tuple[Cell, ...]] = []
    for purpose in ("comparison", "confirmation"):
        sample = study.samples.get(purpose)
        if sample is None:
            continue
        figures = ((DECIDING, sample.spreads), (f"{DECIDING}_difference", sample.gain_spreads))
        for o, option in enumerate(sample.options):
            for w, outlook in enumerate(sample.outlooks):
                for figure, found in figures:
                    one = found.at(o, w)
                    row: list[Cell] = [purpose, option, outlook, figure]
                    for part in (one.median, one.p10, one.p90, one.loss):
                        row += [part.value, part.low, part.high]
                    rows.append((*row, one.worst_tenth, one.n))
    return Table((*columns, "worst_tenth", "worlds"), rows)


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


def unknowns(study: Study) -> Table:
    """One row an input that is an estimate, what is most worth knowing first; see `planner.study.unknown.Unknown`.

    ``share`` is of the variance of the gain of the option that ``of`` names; ``worth`` and ``noise`` are money of the
    time that a figure stands for; empty where that cannot be told.
    """
    names = tuple(one.name for one in fields(Unknown))
    found = study.unknowns
    rows = [
        (*(getattr(one, name) for name in names), found.option)
        for one in (found.ranked if found is not None else ())
        if found is not None
    ]
    return Table((*names, "of"), rows)


def origins(study: Study) -> Table:
    """One row a value that matters: where it stands, what it is, where it comes from and by what."""
    found = study.origins
    rows: list[tuple[Cell, ...]] = [
        (one.path, one.value, one.source, one.told) for one in (found.main if found is not None else ())
    ]
    return Table(("path", "value", "source", "told"), rows)


def failures(study: Study) -> Table:
    """One row a run without a result: what was raised and the command that repeats it."""
    return Table(
        ("option", "outlook", "replicate", "kind", "summary", "repeat", "traceback"),
        [
            (one.option, one.outlook, one.replicate, one.kind, one.summary, one.repeat, one.traceback)
            for one in study.failures
        ],
    )
