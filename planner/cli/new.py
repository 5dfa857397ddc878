"""``planner new FILE``: questions in the trade's order, and a scenario of the answers."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.check import check
from planner.cli.compare import compare
from planner.cli.session import STOPPED, WRONG_INPUT, Format, FormatOption, session


def new(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE", help="Scenario to be written; my-business.yaml if left out.", show_default=False
        ),
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option(
            help="A file of answers (YAML); what it leaves open is asked at a terminal, elsewhere left as is usual.",
            show_default=False,
        ),
    ] = None,
    more: Annotated[bool, typer.Option("--more", help="Ask all questions, not only a dozen.")] = False,
    ask: Annotated[
        bool, typer.Option("--ask/--no-ask", help="Ask at all? If not, what is open is left as is usual.")
    ] = True,
    form_only: Annotated[
        bool, typer.Option("--form", help="Print a file of answers to fill in, and leave.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Overwrite what is there.")] = False,
    run: Annotated[
        bool | None,
        typer.Option(
            "--run/--no-run",
            help="Compare the options as soon as it is written? Asked at a terminal if left out.",
            show_default=False,
        ),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Ask about your business, and write a commented scenario of the answers.

    About a dozen questions, more on request; each says what it changes, and what follows is told at once. Answers are
    kept beside the scenario as they are given: the same command goes on after a stop.
    """
    if run and form is Format.JSON:
        raise typer.BadParameter("--run prints a second document; leave out one of --run and --format json")
    with session(form) as out:
        from planner.asking.answers import Answers, form_text
        from planner.asking.dialogue import StoppedError, UnanswerableError
        from planner.asking.new import (
            USUAL_FILE,
            begin,
            hold,
            may_overwrite,
            new_document,
            new_text,
            what_next,
            write,
        )
        from planner.asking.prompts import asker_for

        if form_only:
            typer.echo(form_text(Answers(Path(), date.today())), nl=False)
            return
        place, asker = file or USUAL_FILE, asker_for(out.json)
        asks = ask and (asker.patient or answers is None)
        try:
            overwrites = force or (asks and may_overwrite(asker, place))
            begun = begin(place, answers, date.today(), overwrites=overwrites, asks=asks)
            found = write(hold(begun, asker, more) if asks else begun)
            if out.json:
                out.document(new_document(found))
                return
            out.show(new_text(found))
            then = what_next(found, asker, run)
        except StoppedError as stopped:
            out.problem(stopped.words(place))
            raise typer.Exit(WRONG_INPUT if stopped.dried_up else STOPPED) from None
        except UnanswerableError as error:
            out.problem(str(error))
            raise typer.Exit(WRONG_INPUT) from None
    if then == "check":
        check(place)
    elif then == "compare":
        compare(place)
