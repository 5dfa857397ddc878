"""Tables of the page: options beside each other, and every figure of each.

In: a ``Study``. Out: rows of texts. Must not know: markup; it computes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planner.report.phrases import months, reader_of
from planner.report.units import number, signed
from planner.study import Interval, Study
from planner.study.holding import held_back
from planner.study.start_up import start_up_charge


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One option: its cells, and whether it is advised, refused or the base."""

    name: str
    summary: str
    kind: str
    """``best``, ``refused`` or nothing."""
    cells: tuple[str, ...]


def option_columns(study: Study) -> tuple[str, ...]:
    """Heads of the columns after the name."""
    currency, period = study.subject.currency, study.subject.period
    return (
        f"{currency} {period} more than {study.subject.base}",
        "from … to",
        "worlds worse than today",
        f"{currency} {period} after your hours",
        "before your hours",
        f"{currency} an hour",
        "hours a week",
        "lead hours",
        "lift index",
        "lowest cash",
        "stock at the end, at the yard’s price",
        "stock at the end, if sold",
        "to start",
        "paid back after",
        "worlds with a loss",
        "held back by",
    )


def option_rows(study: Study) -> tuple[OptionRow, ...]:
    """One row an option under the first outlook, the best first, refused ones last."""
    return tuple(_row(study, name) for name in study.ranked())


def _row(study: Study, name: str) -> OptionRow:
    o, base = study.row(name), study.subject.base
    option, gain = study.options[o], study.difference(name, study.findings.measure)

    def level(measure: str, decimals: int = 0) -> str:
        return number(study.level(name, measure).mean, decimals)

    charge, held = start_up_charge(study, name), held_back(study, name)
    paid = ""
    if charge is not None:
        paid = "never" if charge.payback_months is None else months(charge.payback_months)
    refused = bool(study.refusals[name, study.outlooks[0]])
    cells = (
        "" if name == base else signed(gain.mean),
        "" if name == base else _span(gain),
        "" if name == base else _worlds(study, float(study.behind_share[o, 0])),
        level("profit_after_hours"),
        level("profit"),
        level("profit_per_hour", 2),
        number(study.level(name, "hours_h").mean / study.subject.weeks, 1),
        level("exposure_h"),
        level("highest_lifting_index", 1) if study.level(name, "highest_lifting_index").mean else "",
        level("lowest_cash"),
        level("stock_end_yard"),
        level("stock_end_sale"),
        number(option.start_up_cost) if option.start_up_cost else "",
        "" if name == base else paid,
        _worlds(study, float(study.loss_share[o, 0])),
        held.words if held else "",
    )
    kind = "refused" if refused else "best" if name == study.findings.best else ""
    return OptionRow(name, option.summary, kind, cells)


def _worlds(study: Study, share: float) -> str:
    """A share of the worlds as a count of them."""
    if share != share:
        return "n/a"
    return f"{round(share * study.subject.replicates)} of {study.subject.replicates}"


def _span(found: Interval) -> str:
    return "n/a" if found.low != found.low else f"{signed(found.low)} … {signed(found.high)}"


def every_figure(study: Study) -> dict[str, Any]:
    """Every figure of every option under the first outlook, as the page's script reads it.

    Returns
    -------
    dict
        ``heads`` of the columns; ``labels`` and ``units`` of the measures; by option the rows of ``options``: number of
        the measure, then texts of mean, from, to, difference to the base, from, to. Zero throughout is left out.
    """
    reader = reader_of(study.subject)
    options: dict[str, list[list[int | str]]] = {}
    for name in study.names:
        options[name] = rows = []
        for m, one in enumerate(study.measures):
            level, gain = study.level(name, one.name), study.difference(name, one.name)
            if level.mean == 0.0 == gain.mean:
                continue
            values = (level.mean, level.low, level.high, gain.mean, gain.low, gain.high)
            rows.append([m, *(reader.measured(value, one.unit)[0] for value in values)])
    return {
        "heads": ["Figure", "mean", "from", "to", "difference", "from", "to", "unit"],
        "labels": [one.label for one in study.measures],
        "units": [reader.measured(0.0, one.unit)[1] for one in study.measures],
        "options": options,
    }
