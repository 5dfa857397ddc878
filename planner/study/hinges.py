"""What the answer hangs on: how inputs move the gain of an option within their ranges, and where it is overtaken.

In: a scenario with ranges, an option. Out: ``Hinges``. Must not know: files, the terminal, how designs are analysed.

At every point of a design options meet the same worlds. First all inputs are screened; then those that matter most are
told apart by shares of the variance, all others being as the scenario says; then the option and the best others are
played at points all over the ranges, to see where another brings more. Which runs there are follows from scenario, seed
and sizes alone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from math import log2
from typing import Final

import numpy as np

from planner.engine import Engine, Where
from planner.scenario import InputError, Problem, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.failures import FailedRun
from planner.study.flips import BoolArray, Box, box
from planner.study.hinge import A_LIMIT, FEW, NEARLY_ALL_SHARE, Broken, Flips, Hinge, Hinges, Limit
from planner.study.indices import Effect, Shares, crossing, effects, screening, shares
from planner.study.intervals import FloatArray, interval
from planner.study.keeping import Asked, KeptIn
from planner.study.lineup import Lineup
from planner.study.playing import Progress, playing
from planner.study.points import AT_TODAY, TODAY, Point, Points
from planner.study.sources import cautions, subject, warnings_of
from planner.workshop.premises import premises

WORLDS: Final = 2
"""Worlds at every point: their own chance is the same everywhere, so few do. What they leave to chance is a tenth of
what varies from point to point of the example (measured), and more points tell more than more worlds."""
TRAJECTORIES: Final = 8
"""Of the screening (4 to 10 are usual)."""
POINTS: Final = 64
"""Of each of the two sets that shares are told from; half as many as points all over the ranges. A point is dear:
new heat balances cost more than the runs."""
TAKEN: Final = 4
"""Inputs whose shares are told."""
LEAST_SHARE: Final = 0.05
"""Inputs that move the gain by less than this of what the first one does are not taken on (assumed)."""
BESIDE: Final = 2
"""Other options that are played where the option may be overtaken, beside "as today"."""


def hinges_of(
    scenario: Scenario,
    option: str | None = None,
    *,
    beside: Sequence[str] = (),
    replicates: int | None = None,
    points: int | None = None,
    seed: int | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Hinges:
    """Find out what the gain of an option hangs on, within the ranges that the scenario gives.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``; with ``ranges``.
    option : str, optional
        Its gain is its money after the owner's hours less that of "as today", in the same worlds. If left out, the
        allowed option that brings most where everything is as the scenario says.
    beside : sequence of str, optional
        Options that may overtake it; if left out, the best others of a comparison in these worlds.
    replicates : int, optional
        Worlds at each point; ``WORLDS`` if left out.
    points : int, optional
        See ``POINTS``; a power of two.
    seed, workers, progress, engine, store
        As of :func:`planner.study.comparison.compare`.

    Raises
    ------
    planner.scenario.InputError
        An unknown option, one that is refused as it stands, or a scenario without ranges.
    """
    replicates, points = replicates or WORLDS, points or POINTS
    if points < 2 or log2(points) % 1.0:
        raise ValueError(f"points are a power of two, such as {POINTS}, not {points}")
    lineup = Lineup(scenario, scenario.study.seed if seed is None else seed, (EXPECTED,))
    _check(lineup, option, beside)
    inputs = len(scenario.ranges)
    planned = max(replicates, AT_TODAY) * len(lineup.played(EXPECTED)) + replicates * (
        2 * TRAJECTORIES * (inputs + 1) + 2 * points * (min(TAKEN, inputs) + 2) + 2 * points * (2 + BESIDE)
    )

    def told(done: int, wanted: int) -> None:
        if progress is not None:
            progress(done, max(wanted, planned))

    asked = Asked(
        store,
        "hinges",
        {"option": option, "beside": tuple(beside), "replicates": replicates, "points": points},
    )
    with playing(scenario, lineup.seed, workers, planned, told, engine, asked) as (player, runs):
        player.prepare(lineup.names, [EXPECTED])
        return _search(Points(lineup, runs, replicates), option, tuple(beside), points)


def _check(lineup: Lineup, option: str | None, beside: Iterable[str]) -> None:
    scenario = lineup.scenario
    for name in (option or AS_TODAY, *beside):
        scenario.business(name)
    wrong = None
    if not scenario.ranges:
        wrong = (
            "the scenario gives no ranges; write what might as well be otherwise under ranges, such as "
            f"'price of my hour: owner.hour_price=4 {scenario.currency}/h..14 {scenario.currency}/h'"
        )
    elif option == AS_TODAY:
        wrong = f"'{AS_TODAY}' is what options are compared with, so it has no gain; name another option"
    elif option is not None and option not in lineup.played(EXPECTED):
        reasons = "; ".join(one.reason for one in premises(scenario.business(option)).refusals)
        wrong = f"'{option}' is refused as it stands ({reasons}), so nothing hangs on its gain; name another option"
    if wrong:
        raise InputError.of([Problem(str(scenario.path), 0, 0, "", wrong)])


def _search(at: Points, option: str | None, beside: tuple[str, ...], points: int) -> Hinges:
    """Screen, tell apart, look where it is overtaken."""
    scenario, seed = at.lineup.scenario, at.lineup.seed
    today = _today(at)
    option = _allowed(at, option, today)
    others = tuple(dict.fromkeys(name for name in beside if name not in (AS_TODAY, option)))
    others = others or tuple([name for name in today if name not in (AS_TODAY, option)][:BESIDE])
    names = (option, AS_TODAY, *others)
    moved, broken = _screened(at, option)
    taken = _taken(moved)
    parts: Mapping[int, Shares] = {}
    if broken is None and taken:
        parts, broken = _shared(at, option, taken, points)
    return Hinges(
        subject(scenario, seed, at.replicates, [scenario.business()]),
        option,
        others,
        interval(at.money(option, TODAY) - at.money(AS_TODAY, TODAY), scenario.study.confidence),
        next(name for name in today if name in names),
        tuple(Hinge.of(axis, moved[i] if moved else None, parts.get(i)) for i, axis in enumerate(at.axes)),
        TRAJECTORIES * (len(at.axes) + 1),
        points * (len(taken) + 2) if parts else 0,
        _overtaken(at, names, points) if moved else None,
        broken,
        cautions([scenario.business(), scenario.business(option)]),
        warnings_of(scenario),
    )


def _today(at: Points) -> tuple[str, ...]:
    """Options where everything is as the scenario says, best first: those that are allowed, and "as today"."""
    played = at.lineup.played(EXPECTED)
    at.play([TODAY], played)
    allowed = at.allowed(played, [TODAY], settings=False)[0]
    money = {
        name: float(at.money(name, TODAY).mean())
        for name, fine in zip(played, allowed, strict=True)
        if fine or name == AS_TODAY
    }
    return tuple(
        sorted((name for name in money if money[name] == money[name]), key=lambda name: -money[name])
    )


def _allowed(at: Points, option: str | None, today: Sequence[str]) -> str:
    """The option that was asked for, or the best; it has a gain, and breaks no limit."""
    scenario = at.lineup.scenario
    if option is None:
        option = next((name for name in today if name != AS_TODAY), None)
        if option is None:
            raise _no_gain(scenario, "no option is allowed as things stand; planner compare says why")
    for name in (AS_TODAY, option):
        failed = at.failure([name], [TODAY])
        if failed is not None:
            raise _no_gain(scenario, f"{failed[1].summary}; play it again with: {failed[1].repeat}")
    if option not in today:
        words = (
            f"'{option}' breaks a hard limit as it stands; planner compare says which. Name another option"
        )
        raise _no_gain(scenario, words)
    return option


def _no_gain(scenario: Scenario, words: str) -> InputError:
    return InputError.of([Problem(str(scenario.path), 0, 0, "", words)])


def _screened(at: Points, option: str) -> tuple[tuple[Effect, ...], Broken | None]:
    cube = screening(len(at.axes), TRAJECTORIES, at.lineup.seed)
    gains, broken = _gains(at, option, at.at(cube))
    if broken is not None:
        return (), Broken("screening", *broken)
    return effects(cube, gains, at.lineup.seed), None


def _taken(moved: Sequence[Effect]) -> tuple[int, ...]:
    """Numbers of the inputs that matter most."""
    most = max((one.size for one in moved), default=0.0)
    those = [i for i, one in enumerate(moved) if one.size > LEAST_SHARE * most]
    return tuple(sorted(sorted(those, key=lambda i: -moved[i].size)[:TAKEN]))


def _shared(
    at: Points, option: str, taken: tuple[int, ...], points: int
) -> tuple[Mapping[int, Shares], Broken | None]:
    cube = crossing(len(taken), points, at.lineup.seed)
    gains, broken = _gains(at, option, at.at(cube, taken))
    if broken is not None:
        return {}, Broken("shares", *broken)
    found = shares(gains, len(taken), at.lineup.scenario.study.confidence, at.lineup.seed)
    return dict(zip(taken, found, strict=False)), None


def _gains(
    at: Points, option: str, where: tuple[Point, ...]
) -> tuple[FloatArray, tuple[int, int, tuple[str, ...], FailedRun] | None]:
    """Mean gain at every point; and where one is missing how many are, of how many, the first, and why."""
    options = (AS_TODAY, option)
    at.play(where, options)
    money = at.means(options, where)
    gains: FloatArray = money[:, 1] - money[:, 0]
    failed = at.failure(options, where)
    if failed is None:
        return gains, None
    point, run = failed
    return gains, (int(np.isnan(gains).sum()), len(where), tuple(map(str, point)), run)


def _overtaken(at: Points, names: tuple[str, ...], points: int) -> Flips:
    """Where the first of these options is overtaken by another one that is allowed."""
    from scipy.stats import qmc

    seed = at.lineup.seed
    cube: FloatArray = qmc.Sobol(len(at.axes), rng=np.random.default_rng(seed)).random(2 * points)
    where = at.at(cube)
    at.play(where, names)
    money, allowed = at.means(names, where), at.allowed(names, where)
    whole = np.isfinite(money).all(axis=1)
    failed = at.failure(names, where)
    least = at.lineup.rule.worth_caring_about
    rows = zip(money[whole].tolist(), allowed[whole].tolist(), strict=True)
    best = [_best(names, least, *row) for row in rows]
    flipped: BoolArray = np.array([name != names[0] for name in best], dtype=np.bool_)
    found = _box(cube[whole], flipped, seed)
    inside = found.holds(cube[whole]) & flipped if found else flipped & False
    gains = money[whole, 0] - money[whole, 1]
    return Flips(
        int(whole.sum()),
        int((~whole).sum()),
        failed[1] if failed else None,
        int(flipped.sum()),
        _counted(best, flipped),
        tuple(_limit(at, side.input, side.low, side.high) for side in found.sides) if found else (),
        found.points if found else 0,
        found.happened if found else 0,
        _counted(best, inside)[0][0] if found else "",
        tuple(float(one) for one in np.quantile(gains, (0.1, 0.5, 0.9))) if gains.size else (),
    )


def _best(
    names: Sequence[str], worth_caring_about: float, money: Sequence[float], allowed: Sequence[bool]
) -> str:
    """The best allowed option; the first of them unless another brings more by what is worth caring about."""
    if not allowed[0]:
        return A_LIMIT
    best = max(zip(money, allowed, names, strict=True), key=lambda row: row[0] if row[1] else -np.inf)
    return best[2] if best[0] - money[0] >= worth_caring_about else names[0]


def _counted(best: Sequence[str], which: BoolArray) -> tuple[tuple[str, int], ...]:
    return tuple(Counter(name for name, is_one in zip(best, which, strict=True) if is_one).most_common())


def _box(cube: FloatArray, flipped: BoolArray, seed: int) -> Box | None:
    count = int(flipped.sum())
    return box(cube, flipped, seed) if FEW <= count <= NEARLY_ALL_SHARE * flipped.size else None


def _limit(at: Points, number: int, low: float | None, high: float | None) -> Limit:
    axis = at.axes[number]
    reach = axis.high - axis.low
    return Limit(
        number,
        None if low is None else axis.low + low * reach,
        None if high is None else axis.low + high * reach,
    )
