"""What a study found, as text that fits a terminal of 80 columns.

In: values of the study. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
Names that users gave are shown as plain text, never as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from rich import box
from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from planner.report.units import Reader, number, signed
from planner.report.words import advice, asides, quoted
from planner.study import Interval, Study
from planner.trade.safety import DEFERENCE, Caution

WEEKS_A_YEAR: Final = 365.0 / 7.0
NAME_WIDTH: Final = 19
MARK_BEST, MARK_REFUSED = ">", "x"


def plain_table(*columns: tuple[str, str], name_width: int | None = None) -> Table:
    """An empty table; columns are (heading, left or right)."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for i, (heading, side) in enumerate(columns):
        table.add_column(
            Text(heading),
            justify="right" if side == "right" else "left",
            overflow="ellipsis",
            no_wrap=True,
            max_width=name_width if i == 0 and name_width else None,
        )
    return table


def heading(words: str) -> Text:
    """A heading."""
    return Text(words, style="bold")


def indented(words: str, hang: int = 2) -> Padding:
    """A sentence under a heading."""
    return Padding(Text(words), (0, 0, 0, hang), expand=False)


def comparison(study: Study, files: Sequence[Path]) -> Iterator[RenderableType]:
    """A study: safety, tables, what was refused, the answer, where the files lie."""
    yield from warnings(study.warnings)
    yield from safety(study.cautions)
    for outlook in study.outlooks:
        yield Text("")
        yield heading(f"{study.subject.title}: {outlook}, {study.subject.replicates} worlds")
        yield options_table(study, outlook)
    yield from refused(study)
    yield Text("")
    yield from (indented(sentence, 0) for sentence in asides(study))
    for sentence in advice(study):
        yield Text(sentence, style="bold")
    yield from written(files)


def options_table(study: Study, outlook: str) -> Table:
    """Options by money after the owner's hours, refused ones last."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    table.add_column(Text("  Option"), min_width=NAME_WIDTH, max_width=NAME_WIDTH)
    for words in ("Before\nhours", "After\nhours", f"Against\n{study.subject.base[:8]}", "from ... to"):
        table.add_column(Text(words), justify="right", no_wrap=True)
    table.add_column(Text("Hours\na week"), justify="right", no_wrap=True)
    table.add_column(Text("Lead h\na year"), justify="right", no_wrap=True)
    for name in _ranked(study, outlook):
        broken = study.refusals[name, outlook]
        best = name == study.findings.best and outlook == study.findings.outlook
        gain = study.difference(name, study.findings.measure, outlook)
        base = name == study.subject.base
        table.add_row(
            _marked(name, MARK_REFUSED if broken else MARK_BEST if best else " "),
            number(study.level(name, "profit", outlook).mean),
            number(study.level(name, study.findings.measure, outlook).mean),
            "" if base else signed(gain.mean),
            "" if base else _span(gain),
            number(study.level(name, "hours_h", outlook).mean / WEEKS_A_YEAR, 1),
            number(study.level(name, "exposure_h", outlook).mean),
            style="bold" if best else "dim" if broken else "",
        )
    table.caption = Text(
        f"{study.subject.currency} a year. After hours: your hours priced. Against {study.subject.base}: the same "
        f"worlds played both ways; all these ranges together hold {100 * study.subject.confidence:g} times in 100. "
        f"Lead h: hours exposed to lead. {MARK_BEST} recommended, {MARK_REFUSED} refused.",
        style="dim",
    )
    table.caption_justify = "left"
    return table


def _marked(name: str, mark: str) -> Text:
    """Mark and name in one cell: a mark of its own would be the first thing to go where the terminal is narrow."""
    text = Text(f"{mark} {name}")
    text.truncate(NAME_WIDTH, overflow="ellipsis")
    return text


def _ranked(study: Study, outlook: str) -> list[str]:
    def key(name: str) -> tuple[bool, float]:
        mean = study.level(name, study.findings.measure, outlook).mean
        return bool(study.refusals[name, outlook]), -mean if mean == mean else float("inf")

    return sorted(study.names, key=key)


def _span(found: Interval) -> str:
    if found.low != found.low:  # nan: one world
        return "n/a"
    return f"{signed(found.low)} ... {signed(found.high)}"


def refused(study: Study) -> Iterator[RenderableType]:
    """Options that break a hard limit, with the reason, its source, and the outlooks if not under all of them."""
    under: dict[tuple[str, str, str, str], list[str]] = {}
    for name in study.names:
        for outlook in study.outlooks:
            for one in study.refusals[name, outlook]:
                under.setdefault((name, one.limit, one.reason, one.source), []).append(outlook)
    if under:
        yield Text("")
        yield heading("Refused, and never recommended")
    for (name, limit, reason, source), outlooks in under.items():
        where = "" if len(outlooks) == len(study.outlooks) else f" ({', '.join(outlooks)})"
        yield indented(f"{quoted(name)}{where}: {limit}: {reason} [{source}]")


def warnings(said: Iterable[str]) -> Iterator[RenderableType]:
    """What is odd about the scenario."""
    for one in said:
        yield Text(f"Mind: {one}", style="yellow")


def safety(cautions: Sequence[Caution], full: bool = False) -> Iterator[RenderableType]:
    """What can hurt, with the published limits; in full or a line each."""
    if not cautions:
        return
    yield Text("")
    yield heading("Safety" if full else "Safety (what to do about each: planner check FILE)")
    if full:
        for one in cautions:
            limit = f" Limit: {one.limit}." if one.limit else ""
            yield indented(f"{one.title}. {one.text}{limit} [{one.source}]")
    else:
        for one in cautions:
            if one.limit:
                yield indented(f"{one.title}: {one.limit}")
        bare = [one.title for one in cautions if not one.limit]
        if bare:
            yield indented(f"Also: {'; '.join(bare)}.")
    yield indented(DEFERENCE)


def written(files: Sequence[Path]) -> Iterator[RenderableType]:
    """Where the files lie."""
    if files:
        folder = files[0].parent
        yield Text("")
        yield Text(f"Written to {folder}: {', '.join(path.name for path in files)}")


def measures_table(rows: Iterable[tuple[str, Interval, str]], reader: Reader, several: bool) -> Table:
    """Figures of a run; rows are (label, interval, unit)."""
    columns = [("Figure", "left"), ("Mean" if several else "Value", "right")]
    columns += [("from", "right"), ("to", "right")] if several else []
    table = plain_table(*columns, ("", "left"), name_width=44)
    for label, found, unit in rows:
        value, shown = reader.measured(found.mean, unit)
        ends = [reader.measured(end, unit)[0] for end in (found.low, found.high)] if several else []
        table.add_row(Text(label), value, *ends, shown)
    return table


def models_table(rows: Iterable[Any]) -> Iterator[RenderableType]:
    """Models on offer, and packages that cannot be used; rows have kind, model, package, version, summary, problem."""
    found = list(rows)
    for row in found:
        if not row.problem:
            yield Text(f"{row.kind:<8} {row.model:<24} {row.package} {row.version}")
            yield indented(row.summary, 9)
    for row in found:
        if row.problem:
            yield Text(f"cannot be used: {row.package} {row.version}: {row.problem}", style="bold")
