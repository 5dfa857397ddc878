"""A study as one HTML page: everything in one file, nothing fetched, nothing run but its own script.

In: a ``Study``. Out: the page as bytes. Must not know: where it is put; how the study was made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from planner.report.asides import asides, outlook_words
from planner.report.charts import calendar, courses, gains, limits, money, outlooks, spread, stacks, way
from planner.report.charts.figure import QUICKLY, Figure
from planner.report.known import sections_of
from planner.report.page import first_screen, tables
from planner.report.page.rendering import rendered
from planner.report.phrases import counted, listed, reader_of, too_few
from planner.report.units import NOTHING
from planner.report.what_if import Section
from planner.report.words import answer
from planner.study import Study
from planner.trade.safety import DEFERENCE


@QUICKLY
def page(study: Study, *, beside_it: bool = True, what_if: Sequence[Section] = ()) -> bytes:
    """The report of a study.

    Parameters
    ----------
    study : Study
        What was found.
    beside_it : bool
        Do its tables lie beside the page?
    what_if : sequence of Section
        What other commands found for the same scenario.

    Returns
    -------
    bytes
        UTF-8, the same for the same study and versions.
    """
    return rendered(
        "page.html.j2",
        study=study,
        subject=study.subject,
        said=answer(study),
        few=too_few(study.subject.replicates),
        asides=asides(study),
        nothing=NOTHING,
        outlook_said=tuple(outlook_words(study)),
        shown=first_screen.told(study),
        beside=first_screen.figures(study),
        holds=first_screen.holds(study),
        strips=first_screen.strips(study),
        key=tuple(first_screen.key_of(first_screen.strips(study))),
        used_up=first_screen.used_up(study),
        refused=_refused(study),
        beside_it=beside_it,
        columns=tables.option_columns(study),
        further=tables.further_columns(study),
        rows=tables.option_rows(study),
        standings=tables.standings(study),
        every_figure=tables.every_figure(study),
        charts=figures(study),
        what_if=(*sections_of(study), *what_if),
        left_out={"money": "", "courses": "", "calendar": ""} | left_out(study),
        deference=DEFERENCE,
        dot=Markup(".<wbr>"),
    )


def figures(study: Study) -> dict[str, tuple[Figure, ...]]:
    """Charts by the section of the page that they stand in."""
    reader, shown = reader_of(study.subject), first_screen.told(study)
    keys = ("today", "after")
    found: dict[str, Iterable[Figure | None]] = {
        "options": [gains.draw(study)],
        "outlooks": [outlooks.draw(study)],
        "money": [money.draw(study), spread.draw(study), stacks.draw_hours(study)],
        "limits": limits.draw(study, shown),
        "courses": [
            courses.draw_cash(study, shown),
            *(
                courses.draw_stock(study, name, key, key != keys[0])
                for name, key in zip(shown, keys, strict=False)
            ),
        ],
        "calendar": [
            calendar.draw(one, reader, key, key != keys[0])
            for one, key in zip(study.pictures, keys, strict=False)
        ],
        "kilograms": [stacks.draw_kilograms(study)],
        "way": [way.draw(one, reader) for one in study.pictures[-1:]],
    }
    return {section: tuple(one for one in those if one is not None) for section, those in found.items()}


def left_out(study: Study) -> dict[str, str]:
    """Why charts are not there that could tell nothing, by the section of the page that they would stand in."""
    found: dict[str, str] = {}
    if all(study.refusals[name, study.outlooks[0]] for name in study.names):
        found["money"] = "Not drawn: every option is refused, so what it would bring is nobody's."
    played = counted(study.subject.days, "day")
    if study.months is not None and len(study.months.months) < courses.LEAST:
        found["courses"] = (
            f"Not drawn: {played} has no course. What is there at its end stands among the figures of each option."
        )
    if study.pictures and len(study.pictures[0].days) < calendar.LEAST:
        found["calendar"] = (
            f"Not drawn: a calendar of melts and weather needs a week, and {played} was played."
        )
    return found


def _refused(study: Study) -> list[tuple[str, str, str]]:
    """What breaks a hard limit, under whichever outlook: names of options, reason, source; each reason once."""
    under: dict[tuple[str, str, str], list[str]] = {}
    for name in study.names:
        for outlook in study.outlooks:
            for one in study.refusals[name, outlook]:
                under.setdefault((name, f"{one.limit}: {one.reason}", one.source), []).append(outlook)
    options: dict[tuple[str, str], list[str]] = {}
    for (name, reason, source), outlooks_of in under.items():
        everywhere = len(outlooks_of) == len(study.outlooks)
        told = reason if everywhere else f"{reason} (under: {', '.join(outlooks_of)})"
        options.setdefault((told, source), []).append(name)
    return [(listed(names), reason, source) for (reason, source), names in options.items()]
