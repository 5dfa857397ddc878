"""``planner month FILE``: the questions that come back every month, on one page."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from planner.cli.session import (
    EngineOption,
    FileArgument,
    Format,
    FormatOption,
    OutOption,
    SchedulerOption,
    SeedOption,
    StoreOption,
    WorkersOption,
    folder_for,
    session,
    where,
)


def month(
    file: FileArgument,
    day: Annotated[
        str | None,
        typer.Option("--date", help="First day, such as 2026-03-01; today if left out.", show_default=False),
    ] = None,
    until: Annotated[
        str | None,
        typer.Option(
            help=(
                "Last day; if left out the year's end, or 120 days from the first where fewer than 60 of the year "
                "are left."
            ),
            show_default=False,
        ),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            help=(
                "What is there: 'hard=40 kg' (soft, mixed), 'weights=120 kg' or 'buckets=2'; may be given several "
                "times. As in the scenario if left out."
            ),
            show_default=False,
        ),
    ] = None,
    cash: Annotated[
        str | None,
        typer.Option(
            help="Cash at hand, such as '350 EUR'; as in the scenario if left out.", show_default=False
        ),
    ] = None,
    promised: Annotated[int, typer.Option(min=0, help="Buckets that shops have promised.")] = 0,
    hours: Annotated[
        list[str] | None,
        typer.Option(
            help=(
                "Your free hours on a day that is not as usual, such as '2026-03-07 10:00-14:00' or '2026-03-07 none'; "
                "may be given several times."
            ),
            show_default=False,
        ),
    ] = None,
    option: Annotated[str, typer.Option(help="Option that is the business by now.")] = "as today",
    outlook: Annotated[str, typer.Option(help="Outlook to play it under.")] = "expected",
    replicates: Annotated[
        int | None,
        typer.Option(
            min=1, help="Worlds; if left out 100, or what the scenario says if more.", show_default=False
        ),
    ] = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    seed: SeedOption = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Say what to do this month, with today's stock, cash and promised buckets, until the season's end.

    How many buckets to take and the most to pay; melt or sell untouched; which price to ask, and when to drop it; light
    up on the next free day (a Saturday if one is free) or wait; which shop to court or drop; what will be left. Each
    answer is played both ways in the same worlds and says how sure it is. Written are the page (month.html), its
    figures (month.csv) and month.json.
    """
    with session(form) as out:
        from planner.report.month_kept import month_document, save_month
        from planner.report.month_text import month_text
        from planner.study import available_workers, load
        from planner.study.month.asking import month
        from planner.study.month.today import Given, day_told

        given = Given(
            date.today() if day is None else day_told("--date", day),
            None if until is None else day_told("--until", until),
            tuple(stock or ()),
            cash,
            promised,
            tuple(hours or ()),
        )
        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        with out.progress("Playing") as progress:
            found = month(
                scenario,
                given,
                option=option,
                outlook=outlook,
                replicates=replicates,
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                progress=progress,
                store=out.keep(store),
            )
        files = save_month(found, folder)
        out.tell(found, files, month_document, month_text, found.failed)
