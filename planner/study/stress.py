"""Stress: inputs of a scenario moved along a range, and the questions of the trade that this answers.

In: a scenario, ranges as the command line writes them, or none. Out: ``Stress``. Must not know: words, files.

One range is looked at with every option along it, two make a map of the best option. Without one the standing questions
are asked (``standing.py``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import product
from typing import Final

from planner.engine import Engine, Where
from planner.scenario import InputError, Problem, Scenario
from planner.scenario.axis import Axis, axis_of, joined
from planner.scenario.axis import RangeError as RangeError
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.wording import listed, nearest, shown
from planner.study.along import Along, Best, along, best_of
from planner.study.failures import FailedRun
from planner.study.held import Held, played
from planner.study.keeping import Asked, KeptIn
from planner.study.playing import Progress, playing
from planner.study.sources import cautions, subject, warnings_of
from planner.study.standing import Answer, standing, untouched_and_nothing
from planner.study.study import Subject
from planner.trade.safety import Caution

POINTS: Final = 9
"""Points along one input."""

MAP_POINTS: Final = 5
"""Points along each of two."""

RUNS: Final = 3_500
"""Runs that the grid may take where nobody says how many worlds: under half a minute on two processors."""

LEAST_WORLDS: Final = 10
"""And no fewer worlds than this: of fewer no range is told."""


@dataclass(frozen=True, slots=True)
class Cell:
    """The best option at one place of a map."""

    x: float
    y: float
    best: Best


@dataclass(frozen=True, slots=True)
class BestMap:
    """Two inputs at once.

    Parameters
    ----------
    axes : tuple of Axis
        Across, and up.
    columns, rows : tuple of float
        Numbers along them.
    worlds : int
        How many, the same everywhere.
    cells : tuple of Cell
        Row by row from the lowest on, each from left to right.
    """

    axes: tuple[Axis, Axis]
    columns: tuple[float, ...]
    rows: tuple[float, ...]
    worlds: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Stress:
    """What inputs moved along a range do to the options.

    Parameters
    ----------
    subject : Subject
        Scenario, seed, confidence, versions.
    outlook : str
        Under which everything was played.
    options : tuple of str
        Those that took part.
    alongs : tuple of Along
        Inputs looked at one by one.
    map : BestMap or None
        Two inputs at once.
    answers : tuple of Answer
        To the standing questions.
    failures : tuple of FailedRun
        Runs without a result.
    runs : int
        How many were played.
    cautions : tuple of Caution
        What can hurt in what these options do.
    warnings : tuple of str
        What is odd about the scenario.
    """

    subject: Subject
    outlook: str
    options: tuple[str, ...]
    alongs: tuple[Along, ...]
    map: BestMap | None
    answers: tuple[Answer, ...]
    failures: tuple[FailedRun, ...]
    runs: int
    cautions: tuple[Caution, ...] = ()
    warnings: tuple[str, ...] = ()


def stress(
    scenario: Scenario,
    ranges: Sequence[str] = (),
    *,
    points: int | None = None,
    replicates: int | None = None,
    options: Iterable[str] = (),
    against: Iterable[str] = (),
    outlook: str = EXPECTED,
    seed: int | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Stress:
    """Move inputs along ranges.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    ranges : sequence of str
        None, one or two, such as ``owner.hour_price=2 EUR/h..20 EUR/h``; see :func:`planner.scenario.axis.axis_of`.
    points : int, optional
        Points along each; 9 along one, 5 along each of two if left out.
    replicates : int, optional
        Worlds; as many as go into ``RUNS`` if left out, at most as many as the scenario asks for.
    options : iterable of str, optional
        Only these, and "as today".
    against : iterable of str, optional
        Whom each option's break-even is found against, beside "as today"; selling untouched and doing nothing, where
        the scenario offers them, if left out.
    outlook : str
        Under which everything is played.
    seed, workers, progress, engine, store
        As for :func:`planner.study.comparison.compare`.

    Raises
    ------
    RangeError
        A range is not written as one.
    planner.scenario.InputError
        An unknown option or outlook; a path that leads nowhere or to no number; a range at which nothing is possible.
    """
    if len(ranges) > 2:
        raise RangeError(f"{len(ranges)} ranges are too many: give one, or two for a map")
    root = scenario.study.seed if seed is None else seed
    written = scenario.variants.written(AS_TODAY, EXPECTED)
    axes = tuple(axis_of(one, written, scenario.currency, scenario.path) for one in ranges)
    _apart(axes)
    names = _named(scenario, options, against)
    scenario.business(AS_TODAY, outlook)
    at_once = points or (MAP_POINTS if len(axes) == 2 else POINTS)
    cells = _places(axes, at_once) * len(names)
    number = replicates or min(scenario.study.replicates, max(LEAST_WORLDS, RUNS // cells))
    asked = Asked(
        store,
        "stress",
        {
            "ranges": tuple(ranges),
            "points": at_once,
            "replicates": number,
            "options": names,
            "against": tuple(against),
            "outlook": outlook,
        },
    )
    with _held(scenario, root, outlook, number, workers, cells * number, progress, engine, asked) as held:
        alongs: tuple[Along, ...] = ()
        answers: tuple[Answer, ...] = ()
        found: BestMap | None = None
        if not axes:
            alongs, answers = standing(held, names, at_once)
        elif len(axes) == 1:
            beside = tuple(against) or untouched_and_nothing(scenario, names)
            alongs = (along(held, axes[0], axes[0].points(at_once), names, (AS_TODAY, *beside)),)
            _possible(scenario, alongs[0])
        else:
            found = _map(held, (axes[0], axes[1]), at_once, names)
    businesses = [scenario.business(name) for name in names]
    return Stress(
        subject(scenario, root, number, businesses),
        outlook,
        names,
        alongs,
        found,
        answers,
        held.failures(),
        held.runs.done,
        cautions(businesses),
        warnings_of(scenario),
    )


def _places(axes: Sequence[Axis], points: int) -> int:
    """At how many places options have to be played."""
    if not axes:
        return points  # every option along the first of the standing questions; along the others few, or none anew
    grids = product(*(axis.points(points) for axis in axes))
    return len({played(joined(axes, place)) for place in grids})


@contextmanager
def _held(
    scenario: Scenario,
    seed: int,
    outlook: str,
    number: int,
    workers: int,
    least: int,
    progress: Progress | None,
    engine: Engine | Where | None,
    asked: Asked,
) -> Iterator[Held]:
    with playing(scenario, seed, workers, least, progress, engine, asked) as (player, runs):
        yield Held(scenario, seed, outlook, number, player, runs)


def _map(held: Held, axes: tuple[Axis, Axis], points: int, names: tuple[str, ...]) -> BestMap:
    """The best option at every place where the two grids cross."""
    columns, rows = axes[0].points(points), axes[1].points(points)
    places = [(x, y) for y in rows for x in columns]
    held.play([(names, joined(axes, place)) for place in places])
    cells = []
    for x, y in places:
        inputs = joined(axes, (x, y))
        money = {
            name: held.money(name, inputs) for name in names if held.here(name, inputs).state == "played"
        }
        cells.append(Cell(x, y, best_of(x, money, held.money(AS_TODAY, inputs), held.confidence)))
    if all(cell.best.option is None for cell in cells):
        raise _impossible(held.scenario, axes[0].label, held.here(AS_TODAY, joined(axes, places[0])).why)
    return BestMap(axes, columns, rows, held.number, tuple(cells))


def _named(scenario: Scenario, options: Iterable[str], against: Iterable[str]) -> tuple[str, ...]:
    """Options that take part, in the order of the scenario; the base and whom they are compared with do anyway."""
    wanted, others = tuple(options), tuple(against)
    for name in (*wanted, *others):
        if name not in scenario.options:
            near = nearest(name, scenario.options)
            guess = f"did you mean {near}?" if near else f"there are {listed(scenario.options)}"
            words = f"there is no option '{shown(name)}'; {guess}"
            raise InputError.of([Problem(str(scenario.path), 0, 0, "", words)])
    chosen = {AS_TODAY, *wanted, *others} if wanted else set(scenario.options)
    return tuple(name for name in scenario.options if name in chosen)


def _apart(axes: Sequence[Axis]) -> None:
    """Two ranges of one and the same value make no map."""
    if len(axes) == 2 and (
        both := {one.path for one in axes[0].levers} & {one.path for one in axes[1].levers}
    ):
        raise RangeError(f"both ranges move {sorted(both)[0]}; a map needs two different inputs")


def _possible(scenario: Scenario, found: Along) -> None:
    """Somewhere along the range there must be a business."""
    for one in found.gaps:
        if one.option == AS_TODAY and one.state == "impossible" and len(one.at) == len(found.points):
            raise _impossible(scenario, "", one.why)


def _impossible(scenario: Scenario, path: str, why: str) -> InputError:
    return InputError.of([Problem(str(scenario.path), 0, 0, path, f"nowhere along the range: {why}")])
