"""``planner stress FILE``: inputs moved along a range, and where that changes the answer."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.session import (
    WRONG_INPUT,
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


def stress(
    file: FileArgument,
    ranges: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="RANGE",
            help="Such as 'owner.hour_price=2 EUR/h..20 EUR/h' or 'rates.settings.*.mean*=0.3..1.2'; two make a map. "
            "The standing questions of the trade if left out.",
            show_default=False,
        ),
    ] = None,
    points: Annotated[
        int | None,
        typer.Option(
            min=2,
            max=101,
            help="Points along an input; 9 along one, 5 along each of two if left out.",
            show_default=False,
        ),
    ] = None,
    replicates: Annotated[
        int | None,
        typer.Option(
            min=1, help="Worlds; as many as go into about 3500 runs if left out.", show_default=False
        ),
    ] = None,
    option: Annotated[
        list[str] | None,
        typer.Option(help='Only this option beside "as today"; may be given several times. All if left out.'),
    ] = None,
    against: Annotated[
        list[str] | None,
        typer.Option(
            help='Along one range, find break-evens against this option beside "as today"; may be given several '
            "times. Selling untouched and doing nothing if left out, where there are such options."
        ),
    ] = None,
    outlook: Annotated[str, typer.Option(help="Outlook to play under.")] = "expected",
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    seed: SeedOption = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Move inputs of the scenario along a range, and say where that changes the answer.

    A range is a path, a sign and two ends: = sets, *= multiplies what is there, += adds to it, ~= multiplies one of
    several shares that sum to 1, and the others give way; a * in the path stands for any key at that place, and all of
    them move together. Every option is played at every point in the same worlds;
    where two change places, these two are played on until the number is known. Without a range: how far the yard's
    prices can fall, the most to pay for a bucket, the lead share below which it is not worth melting, the price of
    your hour at which you stop.
    """
    if len(ranges or ()) > 2:
        raise typer.BadParameter("give one range, or two for a map")
    if against and len(ranges or ()) != 1:
        raise typer.BadParameter("--against needs one range along which break-evens are found")
    with session(form) as out:
        from planner.report.saving import tell_beside
        from planner.report.stress_files import save_stress, stress_document
        from planner.report.stress_text import stress_text
        from planner.study import available_workers, load
        from planner.study.stress import RangeError, stress

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        try:
            with out.progress("Playing") as progress:
                found = stress(
                    scenario,
                    ranges or (),
                    points=points,
                    replicates=replicates,
                    options=option or (),
                    against=against or (),
                    outlook=outlook,
                    seed=seed,
                    workers=workers or available_workers(),
                    engine=where(engine, scheduler),
                    progress=progress,
                    store=out.keep(store),
                )
        except RangeError as error:
            out.problem(str(error))
            raise typer.Exit(WRONG_INPUT) from None
        files = tell_beside(save_stress(found, folder))
        out.tell(found, files, stress_document, stress_text, found.failures)
