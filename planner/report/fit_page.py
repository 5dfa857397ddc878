"""A fit as one HTML page: everything in one file, nothing fetched, nothing run but its own script.

In: a ``Fit``. Out: the page as bytes. Must not know: where it is put; how anything was estimated.

Estimates that were seen in the same records stand under one chart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.fit.estimate import Estimate
from planner.fit.fitting import Fit
from planner.report.charts import fits
from planner.report.charts.figure import QUICKLY, Figure
from planner.report.fit_words import (
    BETWEEN,
    HEADS,
    PRIOR,
    read_words,
    row_of,
    summary_words,
    told_words,
    untold_words,
    weak_words,
)
from planner.report.page.rendering import rendered
from planner.scenario.inputs import FACTORS


@dataclass(frozen=True, slots=True)
class Seen:
    """One chart and the estimates that were seen in it.

    Parameters
    ----------
    title : str
        Of what it is.
    told : str
        The estimate in a sentence; empty where there are several.
    rows : tuple of tuple of str
        A row of cells for each of several.
    said : tuple of str
        What else there is to say of them.
    figure : Figure, optional
        None where there is nothing to draw.
    """

    title: str
    told: str
    rows: tuple[tuple[str, ...], ...]
    said: tuple[str, ...]
    figure: Figure | None


@QUICKLY
def page(fit: Fit, place: Path) -> bytes:
    """The page of a fit: UTF-8, the same for the same fit and versions.

    Parameters
    ----------
    fit : Fit
        What was told.
    place : Path
        The scenario that was written.
    """
    return rendered(
        "fits.html.j2",
        title=fit.scenario.title,
        file=fit.scenario.path.name,
        place=place.name,
        read=tuple(read_words(fit)),
        heads=HEADS,
        summary=summary_words(fit),
        rows=tuple(row_of(one) for one in fit.estimates),
        prior=f"{BETWEEN} {PRIOR}",
        seen=tuple(_seen(fit)),
        weak=tuple(weak_words(fit)),
        untold=tuple(untold_words(one) for one in fit.untold),
    )


def _seen(fit: Fit) -> Iterator[Seen]:
    groups: dict[int, list[Estimate]] = {}
    for number, one in enumerate(fit.estimates):
        groups.setdefault(id(one.picture) if one.picture is not None else -number - 1, []).append(one)
    for number, those in enumerate(groups.values(), 1):
        title = those[0].name if len(those) == 1 else f"{those[0].name}, and {len(those) - 1} more"
        yield Seen(
            title[:1].upper() + title[1:],
            told_words(those[0]) if len(those) == 1 else "",
            tuple(row_of(one) for one in those) if len(those) > 1 else (),
            (
                _assumed(those),
                *dict.fromkeys(f"{one.note[:1].upper()}{one.note[1:]}." for one in those if one.note),
            ),
            fits.draw(f"fit-{number}", those[0], title[:1].upper() + title[1:]),
        )


def _assumed(those: Sequence[Estimate]) -> str:
    """How far the truth was thought to lie from the scenario, before a record was read."""
    sds = sorted(one.prior_sd for one in those)
    if those[0].way in FACTORS:
        ends = dict.fromkeys(f"{round(100.0 * sd)}" for sd in (sds[0], sds[-1]))
        reach = f"about {' to '.join(ends)} %"
    else:
        reach = f"{sds[-1]:.2g} {those[0].unit}"
    return f"Assumed before: within {reach} of what the scenario said, two times in three."
