"""What a study found, as text that fits a terminal of 80 columns.

In: values of the study. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
Names that users gave are shown as plain text, never as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from planner.plugin.protocol import KINDS
from planner.report.asides import asides, outlook_words
from planner.report.phrases import AGAIN, counted, ends, listed, too_few
from planner.report.units import Reader, number, signed
from planner.report.words import advice
from planner.study import Interval, Study
from planner.study.limits import Refusal
from planner.trade.safety import DEFERENCE, Caution

WIDTH: Final = 80
NAME_WIDTH: Final = 19
LEAST_NAME_WIDTH: Final = 8
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


def indented(words: str, hang: int = 2) -> RenderableType:
    """A sentence under a heading; a command at its end stands on a line of its own, whole, so that it can be copied."""
    sentence, again, command = words.partition(AGAIN)
    told = Padding(Text(f"{sentence}{again}".rstrip()), (0, 0, 0, hang), expand=False)
    return Group(told, Text(command, no_wrap=True, overflow="ignore")) if again else told


def comparison(study: Study, files: Sequence[Path]) -> Iterator[RenderableType]:
    """A study: safety, tables, what was refused, the answer, where the files lie."""
    yield from warnings(study.warnings)
    yield from safety(study.cautions)
    outlook, *further = study.outlooks
    yield Text("")
    yield heading(f"{study.subject.title}: {outlook}, {counted(study.subject.replicates, 'world')}")
    yield options_table(study, outlook)
    if further:
        yield indented(f"Played too, and told in the report: {', '.join(further)}.", 0)
    yield from refused(study)
    yield Text("")
    for sentence in (*asides(study), *outlook_words(study)):
        yield indented(sentence, 0)
    first, *others = advice(study)
    yield Text("")
    yield Text(first, style="bold")
    yield from (indented(sentence, 0) for sentence in others)
    yield from written(files)


def options_table(study: Study, outlook: str) -> Table:
    """Options by money after the owner's hours, refused ones last. Names give way to figures where it gets narrow."""
    subject, base = study.subject, study.subject.base
    heads = (
        "Before\nhours",
        "After\nhours",
        f"Against\n{base[:8]}",
        "from ... to",
        "Hours\na week",
        f"Lead h\n{'a year' if subject.days >= 365 else 'in all'}",
        "Lift\nindex",
    )
    rows = [(name, _figures(study, name, outlook)) for name in study.ranked(outlook)]
    widths = [
        max(map(len, (*head.split("\n"), *(row[i] for _, row in rows)))) for i, head in enumerate(heads)
    ]
    for_names = min(NAME_WIDTH, max(LEAST_NAME_WIDTH, WIDTH - sum(widths) - len(widths) - 1))
    table = Table(box=box.SIMPLE_HEAD, padding=0, show_edge=False)
    table.add_column(Text("  Option"), min_width=for_names, max_width=for_names)
    for head, width in zip(heads, widths, strict=True):
        table.add_column(Text(head), justify="right", no_wrap=True, min_width=width)
    for name, figures in rows:
        broken = bool(study.refusals[name, outlook])
        best = name == study.findings.best and outlook == study.findings.outlook
        text = Text(f"{MARK_REFUSED if broken else MARK_BEST if best else ' '} {name}")
        text.truncate(for_names, overflow="ellipsis")
        table.add_row(text, *figures, style="bold" if best else "dim" if broken else "")
    few = too_few(subject.replicates)
    table.caption = Text(
        f"{subject.currency} {subject.period}. After hours: your hours priced. Against {base}: the same worlds played "
        f"both ways; all these ranges together hold {100 * subject.confidence:g} times in 100. Lead h: hours exposed "
        "to lead. Lift index: the heaviest lift; above 1 the back is at risk. "
        f"{MARK_BEST} recommended, {MARK_REFUSED} refused.{f' {few}' if few else ''}",
        style="dim",
    )
    table.caption_justify = "left"
    return table


def _figures(study: Study, name: str, outlook: str) -> tuple[str, ...]:
    """Cells of one option; a refused one has none, since what is refused is not done."""
    if study.refusals[name, outlook]:
        return "", "", "refused", "", "", "", ""
    base, measure = study.subject.base, study.findings.measure
    gain = study.difference(name, measure, outlook)
    lift = study.level(name, "highest_lifting_index", outlook).mean
    return (
        number(study.level(name, "profit", outlook).mean),
        number(study.level(name, measure, outlook).mean),
        "" if name == base else signed(gain.mean),
        "" if name == base else ends(gain, "..."),
        number(study.level(name, "hours_h", outlook).mean / study.subject.weeks, 1),
        number(study.level(name, "exposure_h", outlook).mean),
        number(lift, 1) if lift else "",
    )


def refused(study: Study) -> Iterator[RenderableType]:
    """Options that break a hard limit, with the reason, its source, and the outlooks if not under all of them."""
    under: dict[tuple[str, Refusal], list[str]] = {}
    for name in study.names:
        for outlook in study.outlooks:
            for one in study.refusals[name, outlook]:
                under.setdefault((name, one), []).append(outlook)
    alike: dict[tuple[Refusal, str], list[str]] = {}
    for (name, one), outlooks in under.items():
        where = "" if len(outlooks) == len(study.outlooks) else f" ({', '.join(outlooks)})"
        alike.setdefault((one, where), []).append(name)
    if alike:
        yield Text("")
        yield heading("Refused, and never recommended")
    for (one, where), names in alike.items():
        yield indented(f"{listed(names)}{where}: {refusal(one)}")


def refusal(one: Refusal) -> str:
    """A hard limit broken, in words."""
    return f"{one.limit}: {one.reason} [{one.source}]"


def warnings(said: Iterable[str]) -> Iterator[RenderableType]:
    """What is odd about the scenario."""
    for one in said:
        yield Text(f"Mind: {one}", style="yellow")


def safety(cautions: Sequence[Caution]) -> Iterator[RenderableType]:
    """What can hurt: what kills or maims at once in whole sentences, the rest by name with its published limit."""
    if not cautions:
        return
    yield Text("")
    yield heading("Safety")
    for one in cautions:
        if one.first:
            yield indented(one.first)
    rest = [f"{one.title} ({one.figure})" if one.figure else one.title for one in cautions if not one.first]
    if rest:
        yield indented(
            f"What to do about the rest: planner check FILE, and README, Safety. {'; '.join(rest)}."
        )
    yield indented(DEFERENCE)


def safety_in_full(cautions: Sequence[Caution]) -> Iterator[RenderableType]:
    """What can hurt, what to do about it, and the published limits with their sources."""
    if not cautions:
        return
    yield Text("")
    yield heading("Safety")
    for one in cautions:
        limit = f" Limit: {one.limit}." if one.limit else ""
        yield indented(f"{one.title}. {one.text}{limit} [{one.source}]")
    yield indented(DEFERENCE)


def written(files: Sequence[Path]) -> Iterator[RenderableType]:
    """Where the files lie; a page to be opened first, since it is what most want."""
    if not files:
        return
    pages = [path for path in files if path.suffix == ".html"]
    others = [path.name for path in files if path not in pages]
    yield Text("")
    for page in pages:
        yield Text(f"The report: {page} (open it in a browser; it needs no network)", style="bold")
    if others:
        yield Text(f"{'Beside it' if pages else f'Written to {files[0].parent}'}: {', '.join(others)}")


def next_steps(*steps: tuple[str, str]) -> Iterator[RenderableType]:
    """Commands to go on with, each with what it is for; a command is one line however long, to be copied."""
    yield Text("Next:")
    for command, what in steps:
        yield Text(f"  {command}", no_wrap=True, overflow="ignore")
        yield indented(what, 6)


def measures_table(rows: Iterable[tuple[str, Interval, str]], reader: Reader, several: bool) -> Table:
    """Figures of a run; rows are (label, interval, unit). Labels give way to figures, which are never cut."""
    cells = []
    for label, found, unit in rows:
        value, shown = reader.measured(found.mean, unit)
        ends_of = [reader.measured(end, unit)[0] for end in (found.low, found.high)] if several else []
        cells.append((label, value, *ends_of, shown))
    heads = ("Mean", "from", "to") if several else ("Value",)
    figures = [[head, *(row[i] for row in cells)] for i, head in enumerate((*heads, ""), 1)]
    others = sum(max(map(len, column)) + 2 for column in figures)
    columns = [("Figure", "left"), *((head, "right") for head in heads), ("", "left")]
    table = plain_table(*columns, name_width=max(LEAST_NAME_WIDTH, min(44, WIDTH - others - 2)))
    for label, *texts in cells:
        table.add_row(Text(label), *texts)
    return table


def models_table(rows: Iterable[Any]) -> Iterator[RenderableType]:
    """Models on offer, kind by kind, with the keys of their settings, and why packages cannot be used.

    Rows are as `Row` has them.
    """
    found = list(rows)
    sound = [row for row in found if not row.problem]
    for kind in KINDS:
        yield heading(kind)
        for row in sorted((one for one in sound if one.kind == kind), key=lambda one: str(one.model)):
            yield Text(f"  {row.model:<24} {row.package} {row.version}")
            yield indented(row.summary, 4)
            keys = [one.key for one in row.settings if "." not in one.key]
            yield indented(f"settings: {', '.join(keys)}" if keys else "no settings", 4)
    for problem in dict.fromkeys(row.problem for row in found if row.problem):
        yield Text(problem, style="bold")
    yield Text("Settings in full: planner plugins show MODEL")


def model_in_full(row: Any) -> Iterator[RenderableType]:
    """One model with its settings; a row as `Row` has it."""
    yield heading(f"{row.model}: {row.kind}, {row.package} {row.version}")
    yield indented(row.summary)
    for one in row.settings:
        facts = [one.type, f"default {one.default}" if one.default else "", one.allowed]
        yield Text("")
        yield Text(f"{one.key}: {'; '.join(fact for fact in facts if fact)}")
        yield indented(one.description)
