"""A trace as files for patient people, with a page that says how to read them.

In: one option played, with its ``Trace``, and a folder. Out: a CSV file for each table, and ``README.txt``.
Must not know: how it was played.
"""

from __future__ import annotations

from pathlib import Path

from planner.report.csv_text import csv_bytes
from planner.report.folder import write_folder
from planner.report.own import ADD_UP
from planner.study import Played, Trace
from planner.study.tables import Table
from planner.study.trace import COLUMNS, Named


def save_trace(played: Played, folder: Path) -> tuple[Path, ...]:
    """Write what happened in the first world of a run, with a page that says how to read it.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    ValueError
        There is no trace.
    """
    if played.trace is None:
        raise ValueError("there is no trace: it was not asked for, or the run failed")
    files = {f"{one.name}.csv": _csv(one.table) for one in played.trace.tables}
    files["README.txt"] = readme(played, played.trace).encode()
    return write_folder(folder, files)


def _csv(table: Table) -> bytes:
    return csv_bytes(table.columns, table.rows)


def readme(played: Played, told: Trace) -> str:
    """How to read a trace."""
    subject = played.subject
    lines = [
        f"{subject.title}: option {played.option}, outlook {played.outlook}",
        f"World {played.worlds[0]} of seed {subject.seed}; scenario {subject.file}, digest {subject.digest[:12]}",
        f"Amounts are in {subject.currency}; masses kg, times h. Numbers are rounded to six places.",
        "",
        ADD_UP,
        "Add the column amount of ledger.csv from top to bottom.",
        f"The first row is the cash at the start ({told.opening_cash:.2f}).",
        f"The sum is the cash at the end ({told.closing_cash:.2f}); the column cash shows it in its last row.",
        "",
        *_profit(played, told),
        "TO FOLLOW ONE LOT FROM THE SHOP TO A BUYER",
        "1. lots.csv: the lot's number, shop, day, mass, cost and mix.",
        "2. sorts.csv: what was sorted out of it, if the scenario sorts.",
        "3. loads.csv: which melts took how much of it.",
        "4. melts.csv: when, in what weather, with how much propane, what came out; cause says why one broke off.",
        "5. sale_melts.csv: which sales got how much of that melt's ingots.",
        "6. sales.csv: to whom, when, at what price. The money stands in ledger.csv at the same hour.",
        "7. yard.csv: what of the lot, or of that melt's ingots, went to the yard instead, and when.",
        "diary.csv has everything in the order of time, with what was refused and why.",
        "",
    ]
    if told.example:
        lines += ["For example:", *(f"- {sentence}" for sentence in told.example), ""]
    lines += ["THE FILES", ""]
    for one in told.tables:
        lines += [*_described(one), ""]
    return "\n".join(lines)


def _profit(played: Played, told: Trace) -> list[str]:
    """How the profit follows from the cash, the stock and the hours, with this world's figures."""
    names = [one.name for one in played.measures]
    stock, profit, hours, after = (
        float(played.values[names.index(name), 0])
        for name in ("stock_change", "profit", "hours_h", "profit_after_hours")
    )
    years = played.subject.years
    first, last = f"{told.opening_cash:.2f}", f"{told.closing_cash:.2f}"
    sum_up = f"({last} - {first}) / {years:g} + {stock:.2f} = {profit:.2f}"
    lines = [
        "TO GET THE PROFIT",
        "Money before your hours = (cash at the end - cash at the start) / years played + change of stock:",
        f"{sum_up}. Change of stock, at the yard's price and by the year: ingots, weights,",
        "skimmings, clips and what is in the pot at the end, less what was there at the start (measures.csv).",
    ]
    if hours > 0.0:
        price = (profit - after) / hours
        lines.append(
            f"Money after your hours = that - your hours at their price: {profit:.2f} - {hours:.2f} h x {price:.2f} "
            f"= {after:.2f}."
        )
    return [*lines, ""]


def _described(one: Named) -> list[str]:
    """A file's name, what one of its rows is, and a line for each column."""
    head = f"{one.name}.csv: one row is {one.grain} ({len(one.table.rows):,} rows)"
    return [head, *(f"  {name}: {COLUMNS[name]}" for name in one.table.columns)]
