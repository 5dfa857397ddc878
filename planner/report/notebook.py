"""A comparison as a script or a notebook holds it: the table, the findings, the charts, the page.

In: a scenario and how to play it. Out: ``Comparison``. Must not know: the command line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.report.page.build import figures, page
from planner.report.saving import PAGE, read_study, save_study, write_page
from planner.report.stored import stored as files_of
from planner.report.words import advice
from planner.scenario import Scenario
from planner.study import Findings, Study
from planner.study import compare as compare_options
from planner.study.comparison import outlooks_to_play
from planner.study.keeping import Keep
from planner.study.playing import Progress

if TYPE_CHECKING:
    from pandas import DataFrame


@dataclass(frozen=True)
class Comparison:
    """What a comparison found. A notebook shows its answer and its table.

    Parameters
    ----------
    study : Study
        Every figure of every run, with intervals and paired differences.
    """

    study: Study

    @property
    def advice(self) -> tuple[str, ...]:
        """What to do, or why the runs do not say: a few sentences, the most important first."""
        return advice(self.study)

    @property
    def findings(self) -> Findings:
        """The choice, with what supports it."""
        return self.study.findings

    @property
    def table(self) -> DataFrame:
        """One row an option and outlook: mean, low and high of each measure and of its paired difference."""
        return self.study.table()

    @property
    def runs(self) -> DataFrame:
        """One row a run: option, outlook, replicate, then every measure."""
        return self.study.runs()

    @property
    def charts(self) -> dict[str, Any]:
        """Every chart of the page by its short name; a notebook shows one that ends a cell."""
        return {one.key: one.chart for those in figures(self.study).values() for one in those}

    def report(self, path: str | Path) -> Path:
        """Write the report.

        Parameters
        ----------
        path : str or Path
            A file that ends in ``.html``: the page alone. Anything else: a folder for the page with its tables.

        Returns
        -------
        Path
            The page.

        Raises
        ------
        planner.report.folder.OutputError
            In one plain sentence.
        """
        place = Path(path)
        if place.suffix == ".html":
            return write_page(page(self.study, beside_it=False), place)
        save_study(self.study, place)
        return place / PAGE

    def _repr_html_(self) -> str:
        """The answer and the main figures of each option, as a notebook shows them."""
        said = "".join(f"<p>{escape(sentence)}</p>" for sentence in self.advice)
        main = self.table[
            ["option", "outlook", "profit_after_hours_mean", "profit_mean", "hours_h_mean", "refused"]
        ]
        return f"{said}{main.to_html(index=False, float_format='{:,.0f}'.format)}"


def compare(
    scenario: Scenario,
    *,
    replicates: int | None = None,
    budget: int | None = None,
    minutes: float | None = None,
    seed: int | None = None,
    workers: int = 1,
    outlooks: Iterable[str] | None = None,
    progress: Progress | None = None,
    store: str | Path | None = None,
) -> Comparison:
    """Play every option of a scenario in the same worlds, compare each with "as today", and choose the best.

    Parameters and errors are those of :func:`planner.study.comparison.compare`, but that every outlook is played unless
    some are named; "expected" alone is the quickest.
    """
    keep = None if store is None else Keep(Path(store))
    study = compare_options(
        scenario,
        replicates=replicates,
        budget=budget,
        minutes=minutes,
        seed=seed,
        workers=workers,
        outlooks=outlooks_to_play(scenario, outlooks or ()),
        progress=progress,
        store=keep,
    )
    if keep is not None:
        keep.files(files_of(study))
    return Comparison(study)


def stored(folder: str | Path) -> Comparison:
    """A comparison read back from the folder that it was written to; nothing is played.

    Raises
    ------
    planner.report.folder.StoredError
        There is no study in the folder, or it was changed or damaged.
    """
    return Comparison(read_study(Path(folder)))
