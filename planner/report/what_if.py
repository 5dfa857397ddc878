"""What other commands found for the same scenario, told on the page of a comparison.

In: the folder that a study lies in. Out: ``Section`` values. Must not know: markup; it computes nothing.

What was found for other files of the scenario, or with other chance, is not of this study and is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from planner.report import grow_words, hinges_words, ladder_words, stress_answers, stress_words
from planner.report.charts import grow as grow_chart
from planner.report.charts import hinges as hinges_chart
from planner.report.charts import ladder as ladder_chart
from planner.report.charts import stress as stress_chart
from planner.report.charts import stress_map
from planner.report.charts.figure import QUICKLY, Figure
from planner.report.folder import StoredError
from planner.report.grow_kept import read_growth
from planner.report.hinges_files import read_hinges
from planner.report.ladder_files import read_ladder
from planner.report.phrases import reader_of
from planner.report.stress_files import MAP, RANGE, read_stress
from planner.study.study import Subject

TURNS: Final = ("nothing", "melting or untouched", "bucket", "hour")
"""Standing questions whose answers say when the advice changes."""


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """One part of the page.

    Parameters
    ----------
    key : str
        Short name, used once on a page.
    title, short : str
        Of the part, and of the link to it.
    said : tuple of str
        Sentences.
    figures : tuple of Figure
        Charts.
    label : str
        Of what stands of it on the first screen.
    first : tuple of str
        What stands there.
    answers, first_answers : tuple of (str, str)
        Questions, or heads, with what is said of each, and those that stand on the first screen too.
    columns, rows : tuple
        A table of texts; without columns there is none.
    folded : str
        What is said where it is folded away; empty where it is not.
    """

    key: str
    title: str
    short: str
    said: tuple[str, ...]
    figures: tuple[Figure, ...]
    label: str = ""
    first: tuple[str, ...] = ()
    answers: tuple[tuple[str, str], ...] = ()
    first_answers: tuple[tuple[str, str], ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    folded: str = ""


@QUICKLY
def sections(folder: Path, subject: Subject) -> tuple[Section, ...]:
    """What lies in the folder beside a study of this subject, in the order of the page."""
    return tuple(
        found
        for read in (_ladder, _growth, _stress, _ranged, _mapped, _hinges)
        for found in _tried(read, folder, subject)
    )


def _tried(
    read: Callable[[Path, Subject], Iterator[Section]], folder: Path, subject: Subject
) -> Iterator[Section]:
    """What one command left; nothing where it is damaged or of another version: that command then plays it again."""
    try:
        yield from read(folder, subject)
    except StoredError:
        return


def _of_this(found: Subject, subject: Subject) -> bool:
    return (found.digest, found.seed) == (subject.digest, subject.seed)


def _ladder(folder: Path, subject: Subject) -> Iterator[Section]:
    found = read_ladder(folder)
    if found is None or not _of_this(found.subject, subject):
        return
    steps = [ladder_words.step_words(found, row) for row in range(len(found.rungs))]
    start = (ladder_words.stop_here(found, 0),) if steps else ()
    short = start or ladder_words.answer(found)
    heads = [one[0].partition(": ") for one in steps]
    yield Section(
        "steps",
        "What to do in which order",
        "Next steps",
        (
            *ladder_words.answer(found),
            *start,
            *(sentence for one in steps for sentence in one),
            *ladder_words.asides(found),
        ),
        _drawn(ladder_chart.draw(found)),
        "Next steps",
        short,
        first_answers=tuple(
            (f"{head}:", f"{what} {one[-1]}") for (head, _, what), one in zip(heads, steps, strict=True)
        ),
    )


def _growth(folder: Path, subject: Subject) -> Iterator[Section]:
    found = read_growth(folder)
    if found is not None and _of_this(found.subject, subject):
        said = (*grow_words.advice(found), grow_words.held_back(found))
        whose = "" if found.option == found.subject.base else f", with “{found.option}”"
        yield Section(
            "a-little-more",
            f"What a little more of each thing is worth{whose}",
            "What to grow",
            said,
            _drawn(grow_chart.draw(found)),
        )


def _stress(folder: Path, subject: Subject) -> Iterator[Section]:
    found = read_stress(folder)
    if found is None or not _of_this(found.subject, subject):
        return
    reader = reader_of(found.subject)
    answers = {
        one.question: (stress_answers.ASKED[one.question], " ".join(stress_answers.answered(found, one)))
        for one in found.answers
    }
    yield Section(
        "how-far",
        "How far things may change",
        "How far things may change",
        (
            *stress_answers.asked_of(found),
            *stress_answers.standing_asides(found),
            stress_words.how_known(found),
        ),
        _drawn(
            *(
                stress_chart.draw(one, reader.currency, reader.period, f"stress-{number}")
                for number, one in enumerate(found.alongs, 1)
            )
        ),
        "It changes if",
        answers=tuple(answers.values()),
        first_answers=tuple(answers[name] for name in TURNS if name in answers),
    )


def _ranged(folder: Path, subject: Subject) -> Iterator[Section]:
    """The last range that was asked for."""
    found = read_stress(folder, RANGE)
    if found is None or not found.alongs or not _of_this(found.subject, subject):
        return
    reader, along = reader_of(found.subject), found.alongs[0]
    yield Section(
        "along",
        f"Along {along.axis.label}",
        f"Along {along.axis.label}",
        (*stress_answers.sentences(found), stress_words.how_known(found)),
        _drawn(stress_chart.draw(along, reader.currency, reader.period, RANGE)),
    )


def _mapped(folder: Path, subject: Subject) -> Iterator[Section]:
    """The last map that was asked for."""
    found = read_stress(folder, MAP)
    if found is None or found.map is None or not _of_this(found.subject, subject):
        return
    reader = reader_of(found.subject)
    yield Section(
        "two-inputs",
        "Two inputs at once",
        "Two inputs at once",
        (*stress_answers.sentences(found), stress_words.how_known(found)),
        _drawn(stress_map.draw(found.map, reader.currency, reader.period, MAP)),
    )


def _hinges(folder: Path, subject: Subject) -> Iterator[Section]:
    found = read_hinges(folder)
    if found is not None and _of_this(found.subject, subject):
        yield Section(
            "hinges",
            f"What the gain of “{found.option}” hangs on",
            "What it hangs on",
            hinges_words.hinges_words(found),
            _drawn(hinges_chart.draw_effects(found), hinges_chart.draw_shares(found)),
            "Where another overtakes it",
            hinges_words.flips_words(found),
        )


def _drawn(*those: Figure | None) -> tuple[Figure, ...]:
    return tuple(one for one in those if one is not None)
