"""How well the numbers of a study are known, as parts of its page: what is not known, and where each number comes from.

In: a ``Study``. Out: ``Section`` values. Must not know: markup; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report import origin_words
from planner.report.charts import origins as origins_chart
from planner.report.charts import unknowns as unknowns_chart
from planner.report.phrases import counted
from planner.report.unknown_words import COLUMNS, how_read, unknown_rows, unknown_words
from planner.report.what_if import Section
from planner.study import Study


def sections_of(study: Study) -> Iterator[Section]:
    """What is not known for sure, if anything is said not to be; and where each number comes from."""
    if study.unknowns is not None and study.unknowns.ranked:
        drawn = unknowns_chart.draw(study)
        yield Section(
            "not-known",
            "What is not known, and what to record next",
            "What to record",
            (*unknown_words(study), *([] if drawn else [how_read(study)])),
            (drawn,) if drawn else (),
            columns=COLUMNS,
            rows=tuple(unknown_rows(study)),
        )
    if study.origins is not None:
        rows = tuple(origin_words.origin_rows(study.origins))
        yield Section(
            "origins",
            "Where the numbers come from",
            "Where numbers come from",
            tuple(origin_words.origin_words(study.origins)),
            (origins_chart.draw(study.origins),),
            columns=origin_words.COLUMNS,
            rows=rows,
            folded=f"Where each of {counted(len(rows), 'value')} that matter most comes from",
        )
