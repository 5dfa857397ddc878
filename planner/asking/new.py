"""A new scenario: its file, and the answers kept beside it until it is written.

In: where it shall be, a file of answers, somebody to ask. Out: the file; or one error in plain words. Must not know:
the command line.
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from rich.console import RenderableType
from rich.text import Text

from planner.asking.answers import LEFT, Answers, answers_text, read_answers
from planner.asking.dialogue import YES_NO, Dialogue, StoppedError
from planner.asking.looking import Said, finished, looked_at
from planner.asking.prompts import Asker
from planner.asking.questions import QUESTIONS
from planner.report.folder import OutputError, check_folder, write_folder
from planner.report.terminal import next_steps
from planner.study.foresight import comparison

USUAL_FILE: Final = Path("my-business.yaml")


@dataclass(frozen=True, slots=True)
class New:
    """A scenario that was written."""

    file: Path
    kept: Path | None
    """The answers, if anybody was asked."""
    answers: Answers
    said: tuple[Said, ...]
    comparing: str
    """What a comparison of all options costs, in words."""

    @property
    def commands(self) -> tuple[str, ...]:
        """What to do next."""
        name = shlex.quote(str(self.file))
        return f"planner check {name}", f"planner compare {name}"


def kept_in(file: Path) -> Path:
    """Where the answers for a scenario are kept while they are given."""
    return file.with_name(f"{file.stem}.answers.yaml")


@dataclass(frozen=True, slots=True)
class Begun:
    """A scenario that is being asked for."""

    file: Path
    answers: Answers
    resumed: bool
    overwrites: bool
    """May a file that is there be written anew?"""
    kept: Path | None = None
    """The answers, once somebody was asked."""


def begin(file: Path, told: Path | None, today: date, *, overwrites: bool, asks: bool) -> Begun:
    """What is known before anybody is asked; what would go wrong later is said now.

    Parameters
    ----------
    file : Path
        The scenario to be.
    told : Path or None
        A file of answers.
    today : date
        Today.
    overwrites : bool
        May files that are there be written anew?
    asks : bool
        Will somebody be asked?

    Raises
    ------
    planner.report.folder.OutputError
        A file is there already; or nothing may be written there.
    planner.scenario.InputError
        The file of answers is wrong.
    """
    check_folder(file.parent)
    kept = kept_in(file)
    _refuse_to_overwrite(file, overwrites)
    if told is not None:
        answers = read_answers(told, file.parent, today)
        if asks and os.path.lexists(kept) and not overwrites and not _same(kept, told):
            raise OutputError(
                f"{kept} holds other answers for {file}; give these with --answers, remove them, or overwrite them "
                "with --force",
                True,
            )
        return Begun(file, answers, False, overwrites)
    if asks and os.path.lexists(kept):
        return Begun(file, read_answers(kept, file.parent, today), True, overwrites)
    return Begun(file, Answers(file.parent, today), False, overwrites)


def may_overwrite(asker: Asker, file: Path) -> bool:
    """Ask whoever sits at a terminal, before all else, whether a scenario that is there may be written anew.

    Raises
    ------
    planner.asking.dialogue.StoppedError
        Instead of an answer.
    """
    if not (asker.patient and file.is_file()):
        return False
    words = f"{file} is there already. Write it anew once all is answered?"
    return Dialogue(asker, lambda answers: None).chosen(words, YES_NO, "no") == "yes"


def hold(begun: Begun, asker: Asker, everything: bool) -> Begun:
    """Ask what is open; each answer is kept at once.

    Raises
    ------
    planner.asking.dialogue.StoppedError, planner.asking.dialogue.UnanswerableError
        Before the end; the answers so far are kept.
    """
    kept = kept_in(begun.file)

    def keep(answers: Answers) -> None:
        write_folder(kept.parent, {kept.name: answers_text(answers).encode()})

    if begun.resumed:
        asker.say(f"Going on with the {len(begun.answers.given)} answers in {kept}.")
    answers = Dialogue(asker, keep, everything).held(begun.answers)
    keep(answers)
    return replace(begun, answers=answers, kept=kept)


def what_next(new: New, asker: Asker, run: bool | None) -> str:
    """Which command to go on with: ``check``, ``compare`` or ``no``; asked of whoever sits at a terminal."""
    if run is not None:
        return "compare" if run else "no"
    if not asker.patient or new.kept is None:
        return "no"
    try:
        return Dialogue(asker, lambda answers: None).chosen(
            "Go on at once? check: what follows without playing; compare: which option is best",
            ("check", "compare", "no"),
            "check",
        )
    except StoppedError:
        return "no"


def write(begun: Begun) -> New:
    """Write the scenario, whole or not at all.

    Raises
    ------
    planner.scenario.InputError
        The answers do not agree with each other.
    planner.report.folder.OutputError
        It is there already; or it cannot be written.
    """
    text, scenario = finished(begun.answers)
    look = looked_at(begun.answers)
    _refuse_to_overwrite(begun.file, begun.overwrites)
    (file,) = write_folder(begun.file.parent, {begun.file.name: text.encode()})
    said = tuple(look.said(("lift", "payload", "hours", "stove", "money")))
    return New(file, begun.kept, begun.answers, said, comparison(scenario).words)


def new_document(new: New) -> dict[str, Any]:
    """The same as a document."""
    asked_of = [one.key for one in QUESTIONS if new.answers.asked(one)]
    return {
        "file": str(new.file),
        "answers_kept": str(new.kept) if new.kept else None,
        "answered": {key: new.answers.yours[key] for key in asked_of if key in new.answers.yours},
        "left_open": [key for key in asked_of if new.answers.given.get(key, LEFT) == LEFT],
        "found": [{"words": one.words, "wrong": one.wrong} for one in new.said],
        "next": list(new.commands),
    }


def new_text(new: New) -> Iterator[RenderableType]:
    """The same as text."""
    yield Text("")
    for one in new.said:
        yield Text(f"{one.words}.", style="red" if one.wrong else "")
    yield Text("")
    yield Text(f"Written: {new.file}", style="bold")
    if new.kept is not None:
        yield Text(f"Your answers: {new.kept}")
    checking, comparing = new.commands
    yield from next_steps(
        (checking, "what follows without playing"),
        (comparing, f"which option is best: plays up to {new.comparing}"),
    )


def _refuse_to_overwrite(file: Path, overwrites: bool) -> None:
    if file.is_dir():
        raise OutputError(f"{file} is a folder; name a file, such as {file / USUAL_FILE}", True)
    if os.path.lexists(file) and not overwrites:
        raise OutputError(
            f"{file} is there already, and nothing is overwritten unasked; name another file, or overwrite it with "
            "--force",
            True,
        )


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False
