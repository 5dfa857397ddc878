"""Tables of the page: options beside each other, and every figure of each.

In: a ``Study``. Out: rows of texts. Must not know: markup; it computes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planner.report.phrases import TOLD_FROM, ends, months, reader_of, told
from planner.report.units import number, signed
from planner.study import Study
from planner.study.holding import held_back
from planner.study.spread import Spread
from planner.study.start_up import start_up_charge


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One option: its cells, and whether it is advised, refused or the base."""

    name: str
    summary: str
    kind: str
    """``best``, ``refused`` or nothing."""
    cells: tuple[str, ...]
    further: tuple[str, ...]
    """What is one click away; none of a refused option."""


def option_columns(study: Study) -> tuple[str, ...]:
    """Heads of the columns after the name: as many as a desk has room for."""
    currency, period = study.subject.currency, study.subject.period
    return (
        f"{currency} {period} more",
        "from … to",
        "worlds worse than today",
        f"{currency} {period} after your hours",
        f"{currency} {period} before",
        f"{currency} an hour",
        "hours a week",
        "lead hours",
        "lift index",
        f"to start, {currency}",
        "held back by",
    )


def further_columns(study: Study) -> tuple[str, ...]:
    """Heads of the columns that are one click away: what start and stock do to money."""
    currency = study.subject.currency
    return (
        f"to start, {currency}",
        "paid back in money after",
        f"lowest cash, {currency}",
        "worlds with a loss, hours priced",
        f"stock at the end, at the yard’s price, {currency}",
        f"stock at the end, if sold, {currency}",
    )


def option_rows(study: Study) -> tuple[OptionRow, ...]:
    """One row an option under the first outlook, the best first, refused ones last."""
    return tuple(_row(study, name) for name in study.ranked())


def _row(study: Study, name: str) -> OptionRow:
    o, base = study.row(name), study.subject.base
    option, gain = study.options[o], study.difference(name, study.findings.measure)

    def level(measure: str, decimals: int = 0) -> str:
        return number(study.level(name, measure).mean, decimals)

    broken = study.refusals[name, study.outlooks[0]]
    if broken:  # what it would bring is no figure of it: what is refused is not done
        limits = ", ".join(dict.fromkeys(one.limit for one in broken))
        blank = [""] * (len(option_columns(study)) - 2)
        return OptionRow(name, option.summary, "refused", ("refused", limits, *blank), ())
    held = held_back(study, name)
    to_start = number(option.start_up_cost) if option.start_up_cost else ""
    cells = (
        "" if name == base else signed(gain.mean),
        "" if name == base else ends(gain),
        "" if name == base else _worlds(study.sample.gain_spreads.at(o, 0)),
        level("profit_after_hours"),
        level("profit"),
        level("profit_per_hour", 2),
        number(study.level(name, "hours_h").mean / study.subject.weeks, 1),
        level("exposure_h"),
        level("highest_lifting_index", 1) if study.level(name, "highest_lifting_index").mean else "",
        to_start,
        held.words if held else "",
    )
    further = (
        to_start,
        "" if name == base else _paid_back(study, name),
        level("lowest_cash"),
        _worlds(study.sample.spreads.at(o, 0)),
        level("stock_end_yard"),
        level("stock_end_sale"),
    )
    return OptionRow(name, option.summary, "best" if name == study.findings.best else "", cells, further)


def _paid_back(study: Study, name: str) -> str:
    charge = start_up_charge(study, name)
    if charge is None:
        return ""
    after = charge.payback_money_months
    return "never" if after is None else months(after)


def _worlds(found: Spread) -> str:
    """The worlds that bring less than nothing, of those that have a result, with the interval of that share."""
    if not found.n:
        return "n/a"
    counted = f"{round(found.loss.value * found.n)} of {found.n}"
    if found.n < TOLD_FROM:
        return counted
    return f"{counted} ({number(100 * found.loss.low)}–{number(100 * found.loss.high)} %)"


def standings(study: Study) -> tuple[tuple[str, str, str], ...]:
    """Options of a choice, those that stayed longest first: name, worlds, to which it lost; empty without a choice."""
    choice = study.choice
    if choice is None:
        return ()
    ranked = sorted(choice.standings, key=lambda one: (one.beaten_by is not None, -one.worlds))
    return tuple((one.option, number(one.worlds), one.beaten_by or "still in") for one in ranked)


def every_figure(study: Study) -> dict[str, Any]:
    """Every figure of every option under the first outlook, as the page's script reads it.

    Returns
    -------
    dict
        ``heads`` of the columns; ``labels`` and ``units`` of the measures; by option the rows of ``options``: number of
        the measure, then texts of mean, from, to, difference to the base, from, to. Zero throughout is left out, and so
        is an option that was not played.
    """
    reader = reader_of(study.subject)
    options: dict[str, list[list[int | str]]] = {}
    for name in study.names:
        if not study.worlds_of(name):
            continue
        options[name] = rows = []
        for m, one in enumerate(study.measures):
            level, gain = told(study.level(name, one.name)), told(study.difference(name, one.name))
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
