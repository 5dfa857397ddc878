"""How a command speaks and ends: text or JSON on standard output, everything else on standard error, an exit code."""

from __future__ import annotations

import json
import os
import re
import shlex
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, TypeVar

import typer

from planner.cli.words import place

if TYPE_CHECKING:
    from planner.scenario import Scenario
    from planner.study.keeping import Keep

FAILED, WRONG_INPUT, STOPPED = 1, 2, 130
Found = TypeVar("Found")
WIDTH: Final = 80


class Executing(StrEnum):
    """Where runs are executed."""

    HERE = "here"
    PROCESSES = "processes"
    DASK = "dask"


class Format(StrEnum):
    """How a result is printed."""

    TEXT = "text"
    JSON = "json"


FileArgument = Annotated[
    Path, typer.Argument(metavar="FILE", help="Scenario file (YAML).", show_default=False)
]
FormatOption = Annotated[
    Format, typer.Option("--format", help="Text to read, or one JSON document on standard output.")
]


SeedOption = Annotated[
    int | None,
    typer.Option(min=0, max=2**32 - 1, help="Start of all chance; what the scenario says if left out."),
]
OutOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        parser=place,
        metavar="<path>",
        help="Folder for what is written; reports/<scenario>/ if left out.",
        show_default=False,
    ),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        help="Play with another value, such as 'owner.hour_price=6 EUR/h' or 'fetching.most_price*=0.9'.",
        show_default=False,
    ),
]
AfterOption = Annotated[
    list[str] | None,
    typer.Option(
        "--after",
        help="An option that is taken already; may be given several times, in order.",
        show_default=False,
    ),
]
WorkersOption = Annotated[
    int | None, typer.Option(min=1, help="Processes at most; one for each processor if left out.")
]

StoreOption = Annotated[
    Path | None,
    typer.Option(
        "--store",
        parser=place,
        metavar="<path>",
        envvar="PLANNER_STORE",
        help="File that keeps runs: a study that was stopped goes on from there; reports/runs.sqlite if left out.",
        show_default=False,
    ),
]
_ADDRESS: Final = re.compile(
    r"(?:(?:tcp|tls|ws|wss)://)?[^\s:/@]+:\d{1,5}|(?:(?:tcp|tls|ws|wss)://)?\[[0-9A-Fa-f:]+\]:\d{1,5}"
)
"""Of a scheduler."""
DEFAULT_STORE: Final = Path("reports", "runs.sqlite")


EngineOption = Annotated[
    Executing | None,
    typer.Option(
        "--engine",
        help="Play in this process, in processes beside it, or on a cluster of Dask, which is started here where no "
        "--scheduler is given. If left out: here, and in processes what takes longer than starting them. The "
        "result is the same.",
        show_default=False,
    ),
]
SchedulerOption = Annotated[
    str | None,
    typer.Option(
        help="Play on the workers of this Dask scheduler, such as tcp://192.0.2.7:8786.", show_default=False
    ),
]


def where(engine: Executing | None, scheduler: str | None) -> Any:
    """What ``--engine`` and ``--scheduler`` ask for; None where neither is given. A scheduler is one of Dask."""
    if scheduler is not None and not _ADDRESS.fullmatch(scheduler):
        raise typer.BadParameter("--scheduler must be an address with a port, such as tcp://192.0.2.7:8786")
    if scheduler is not None and engine not in (None, Executing.DASK):
        raise typer.BadParameter(f"--scheduler is for --engine dask, not for --engine {engine}")
    if engine is None and scheduler is None:
        return None
    from planner.engine import Where

    return Where("dask" if engine is None else engine.value, scheduler)


def command(*words: object, **options: object | None) -> str:
    """A command of this program, to be copied into a shell; of the options those that have a value."""
    given = [word for name, value in options.items() if value is not None for word in (f"--{name}", value)]
    return shlex.join(["planner", *map(str, (*words, *given))])


def folder_for(scenario: Scenario, out_folder: Path | None) -> Path:
    """Where a command writes; what would go wrong there is said now.

    Another scenario's report is not overwritten, unless the folder was named; what is no report never is.
    """
    from planner.report.folder import check_folder
    from planner.report.own import check_report

    folder = out_folder or Path("reports") / scenario.path.stem
    check_folder(folder)
    check_report(folder, scenario.title if out_folder is None else None)
    return folder


def inputs(set_: list[str] | None, after: list[str] | None = None) -> tuple[Any, ...]:
    """What ``--set`` and then ``--after`` ask for."""
    from planner.scenario.inputs import Taken, input_of

    try:
        return (*(input_of(one) for one in set_ or ()), *(Taken(one) for one in after or ()))
    except ValueError as error:
        raise typer.BadParameter(str(error)) from None


class _Visible:
    """What rich prints, in which no text can steer the terminal: not the name of a file, not what a model raised."""

    def __init__(self, of: Any) -> None:
        self._of = of

    def __rich_console__(self, console: Any, options: Any) -> Iterator[Any]:
        """Render it as rich does."""
        from planner.scenario.unseen import visible

        for part in console.render(self._of, options):
            yield part if part.control else part._replace(text=visible(part.text))


class _Bar:
    """How far a study is; and what it is told of before it begins."""

    def __init__(self, move: Callable[[int, int], None], tell: Callable[[str], None]) -> None:
        self._move, self.foretell = move, tell

    def __call__(self, done: int, total: int) -> None:
        """So many runs are done, of so many."""
        self._move(done, total)


class Session:
    """What a command prints with.

    Parameters
    ----------
    form : Format
        Text or JSON.
    """

    def __init__(self, form: Format) -> None:
        self.json = form is Format.JSON
        self.kept: Keep | None = None
        """Where the study of this command keeps its runs."""

    def keep(self, store: Path | None) -> Keep:
        """Where the study of this command keeps its runs; it does without where the usual place is not to be had."""
        from planner.study.keeping import Keep

        words = shlex.join(["planner", *sys.argv[1:]])
        self.kept = Keep(store or DEFAULT_STORE, words, self.aside, optional=store is None)
        return self.kept

    def aside(self, words: str) -> None:
        """Say something that is not the answer."""
        typer.echo(words, err=True)

    def document(self, found: dict[str, Any]) -> None:
        """Print the one JSON document of this command."""
        plain = not (sys.stdout.encoding or "").lower().startswith("utf")
        typer.echo(json.dumps(found, indent=2, ensure_ascii=plain, allow_nan=False))

    def show(self, those: Iterable[Any]) -> None:
        """Print things that rich prints."""
        from rich.console import Console

        console = Console(highlight=False, soft_wrap=False)
        if not console.is_terminal:
            console.width = WIDTH
        for one in those:
            console.print(_Visible(one), crop=False)

    def tell(
        self,
        found: Found,
        files: Sequence[Path],
        document: Callable[[Found, Sequence[Path]], dict[str, Any]],
        text: Callable[[Found, Sequence[Path]], Iterable[Any]],
        failed: object = None,
    ) -> None:
        """Print what a command found and wrote, as its document or its text; end with 1 if runs failed."""
        if self.json:
            self.document(document(found, files))
        else:
            self.show(text(found, files))
        if failed:
            raise typer.Exit(FAILED)

    def problem(self, words: str, problems: Iterable[Any] = ()) -> None:
        """Say what is wrong: on standard error, or as the document."""
        if self.json:
            from planner.report.documents import problem_document

            self.document(problem_document(words, problems))
        else:
            from planner.scenario.unseen import visible

            typer.echo(visible(words), err=True)

    @contextmanager
    def progress(self, words: str) -> Iterator[_Bar]:
        """A bar with the time left on standard error, where that is a terminal."""
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        console = Console(stderr=True)
        columns = (
            TextColumn(words),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("left"),
            TimeRemainingColumn(),
        )
        with (
            redirect_stdout(sys.stderr),  # what a model prints must not get into the document
            Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar,
        ):
            task = bar.add_task("", total=None)
            yield _Bar(lambda done, total: bar.update(task, completed=done, total=total), self.aside)


@contextmanager
def session(form: Format) -> Iterator[Session]:
    """Everything between a command's first word and its exit code."""
    out = Session(form)
    try:
        yield out
    except KeyboardInterrupt:
        out.aside(f"Stopped before the end; no file was left half-written.{_go_on(out.kept)}")
        raise typer.Exit(STOPPED) from None
    except BrokenPipeError:  # whoever read our output has gone
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(FAILED) from None
    except Exception as error:
        code = _told(out, error)
        if code is None:
            raise
        raise typer.Exit(code) from None


def _go_on(keep: Keep | None) -> str:
    """What is kept of a study that was stopped, and how to go on with it."""
    if keep is None or not keep.kept:
        return ""
    runs = "1 run is" if keep.kept == 1 else f"{keep.kept:,} runs are"
    return f" {runs} kept in {keep.path}; the same command goes on from there:\n  {keep.words}"


def _told(out: Session, error: Exception) -> int | None:
    """Say one of the errors that are meant for the user; its exit code, or None for any other."""
    from planner.engine import EngineError, StoreError
    from planner.report.folder import OutputError, StoredError
    from planner.scenario import InputError
    from planner.study import BudgetError, CheckError
    from planner.world.build import ModelError

    if isinstance(error, InputError):
        out.problem(str(error), error.problems)
        return WRONG_INPUT
    if isinstance(error, ModelError):
        out.problem(str(error))
        return WRONG_INPUT
    if isinstance(error, (StoredError, BudgetError)):
        out.problem(str(error))
        return WRONG_INPUT
    if isinstance(error, OutputError):
        out.problem(str(error))
        return WRONG_INPUT if error.wrong_place else FAILED
    if isinstance(error, StoreError):
        out.problem(f"{error}.{'' if error.wrong_input else _go_on(out.kept)}")
        return WRONG_INPUT if error.wrong_input else FAILED
    if isinstance(error, (EngineError, CheckError)):
        out.problem(str(error))
        return FAILED
    return None
