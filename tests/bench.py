"""How long a simulated year takes: ``make bench``. No test; compare ratios within one run.

Prints milliseconds a simulated year for "as today" and for the dearest option, events a year, the share of time by
module, and the time to draw and build a world. All as a study plays it: a world and what is looked up in it are
shared by all options, what follows from the settings is worked out once. Processor time, the best of some rounds. Last
the whole choice of the example: its time on the clock, its runs beside those that equal allocation would take, and by
which factor playing all options in the same worlds cuts the variance of each one's difference to "as today".

A profile does not see into compiled modules, so shares are those of plain Python, taken in a process of their own
(``python -m tests.bench OPTION``).
"""

from __future__ import annotations

import cProfile
import os
import pstats
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from time import perf_counter, process_time
from typing import NamedTuple

import numpy as np
import simpy

from planner.compiled import AS_PYTHON, in_use
from planner.engine.player import uncollected
from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario import load
from planner.scenario.business import Business
from planner.study import available_workers, compare, outlooks_to_play
from planner.study.kim_nelson import KimNelson, batch_means
from planner.study.sample import CONSTANT
from planner.study.study import Study
from planner.workshop.play import play
from planner.workshop.premises import Premises, StartUp, Tables, premises
from planner.world.build import Models, build
from planner.world.draw import Draw
from planner.world.parts import World
from tests.study.equal_allocation import paired, rinott, unpaired

SCENARIO = Path(__file__).parents[1] / "scenarios" / "example.yaml"
WARM, TIMED, ROUNDS = 10, 20, 4
BASE = "as today"
NEAR_1 = 2.0
"""A factor below this saves less than half of the runs, so it is warned of."""


class Option(NamedTuple):
    """An option ready to be played."""

    business: Business
    models: Models
    known: Premises
    start_up: StartUp

    def year(self, world: World, tables: Tables) -> None:
        """Play it once."""
        with uncollected():
            play(self.business, world, self.models.pricing, self.start_up, tables, self.known, diary=False)

    def worlds(self, replicates: Iterable[int]) -> list[World]:
        """Worlds with nothing looked up in them yet."""
        return [build(Draw(1, i), self.business, self.models, {}) for i in replicates]


def main() -> None:
    """Time the example; or, if an option is named, say where its time goes."""
    if len(sys.argv) > 1:
        option = _options([sys.argv[1]])[sys.argv[1]]
        for module, share in _shares(partial(_play_all, option, option.worlds(range(TIMED)), Tables())):
            print(f"  {100 * share:5.1f} %  {module}")
        return
    print("compiled" if in_use() else "not compiled: make setup says why")
    options = _options()
    years = options[BASE].business.calendar.years
    _time_worlds(options[BASE], years)
    cost = {name: _timed(option, 4, 4, 3)[1] for name, option in options.items()}
    dearest = max(cost, key=lambda name: cost[name])
    for name in (BASE, dearest):
        option = options[name]
        first, again = _timed(option, WARM, TIMED, ROUNDS)
        print(
            f"{name}: {1e3 * first / years:.1f} ms per simulated year "
            f"({1e3 * again / years:.1f} ms once its heat table is complete)"
        )
        world, tables = option.worlds([WARM])[0], Tables()
        print(f"  events a year: {_events(partial(option.year, world, tables)) / years:.0f}")
        print("  share of the time, not compiled:", flush=True)
        plain = {**os.environ, AS_PYTHON: "1"}
        subprocess.run([sys.executable, "-m", "tests.bench", name], env=plain, check=True)
    _time_choice()


def _time_choice() -> None:
    """How long the whole choice takes, and what equal allocation of the same confidence would take to choose."""
    scenario, workers = load(SCENARIO, Registry()), available_workers()
    start = perf_counter()
    study = compare(scenario, workers=workers, outlooks=outlooks_to_play(scenario))
    took = perf_counter() - start
    _pairing(study)
    choice, fresh = study.choice, study.fresh
    if choice is None or fresh is None:
        raise SystemExit("the example no longer comes to a choice")
    print(
        f"the example's choice, {len(choice.standings)} options, {len(study.outlooks)} outlooks: {took:.1f} s on "
        f"{workers} processors, {study.runs_played:,} runs"
    )
    names, n0 = [one.option for one in choice.standings], study.subject.replicates // choice.batch
    rule = KimNelson(len(names), n0, study.subject.confidence, study.subject.worth_caring_about)
    worlds = np.array([study.sample.of(name)[: n0 * choice.batch] for name in names])
    first = batch_means(worlds, choice.batch)
    own = choice.batch * int(rinott(rule, first).sum())
    apart, shared = (choice.batch * len(names) * int(of(rule, first)) for of in (unpaired, paired))
    print(
        f"  to choose {choice.runs:,} runs, to confirm {len(fresh.options) * fresh.worlds:,}; at the same confidence "
        f"equal allocation would take {apart:,} in worlds drawn apart ({1 - choice.runs / apart:.1%} saved), "
        f"{shared:,} in shared worlds; each option its own number in worlds drawn apart, {own:,}"
    )


def _pairing(study: Study) -> None:
    """By which factor the same worlds cut the variance of each option's difference to "as today"."""
    print(
        f"  variance of a difference drawn apart, over that in the same worlds (of {study.subject.replicates}):"
    )
    factors = study.sample.pairing_saved[:, 0].tolist()
    for factor, name in sorted(zip(factors, study.names, strict=True)):
        if name == study.subject.base:
            continue
        words = "never differs by chance" if not factor < CONSTANT else f"{factor:.1f}"
        warning = "  NEAR 1: this option hardly meets the same luck" if factor < NEAR_1 else ""
        print(f"    {name:<36} {words}{warning}")


def _options(names: Iterable[str] = ()) -> dict[str, Option]:
    """Options of the example, ready to be played: these, or all."""
    scenario, registry = load(SCENARIO, Registry()), Registry()
    options = {}
    for name in names or scenario.options:
        business = scenario.business(name)
        start_up = StartUp(scenario.options[name].start_up_cost, scenario.options[name].resale)
        options[name] = Option(business, models_for(registry, business), premises(business), start_up)
    return options


def _time_worlds(option: Option, years: float) -> None:
    """What a world costs: to draw and build it, and to look up in it what every option shares."""
    tables, replicates = Tables(), range(WARM, WARM + TIMED)
    _play_all(option, option.worlds(replicates), tables)
    built, fresh, again = [], [], []
    for _ in range(ROUNDS):
        start = process_time()
        worlds = option.worlds(replicates)
        built.append(process_time() - start)
        fresh.append(_seconds(partial(_play_all, option, worlds, tables)))
        again.append(_seconds(partial(_play_all, option, worlds, tables)))
    each = 1e3 / TIMED / years
    print(
        f"draw and build a world: {each * min(built):.2f} ms per simulated year, "
        f"look-ups in it {each * (min(fresh) - min(again)):.2f} ms; shared by all options"
    )


def _timed(option: Option, warm: int, timed: int, rounds: int) -> tuple[float, float]:
    """Seconds a run [s]: in new worlds after some others, and in the same worlds again, when no row is missing."""
    before, worlds = option.worlds(range(warm)), option.worlds(range(warm, warm + timed))
    _play_all(option, worlds, Tables())
    first, again = [], []
    for _ in range(rounds):
        tables = Tables()
        _play_all(option, before, tables)
        first.append(_seconds(partial(_play_all, option, worlds, tables)))
        again.append(_seconds(partial(_play_all, option, worlds, tables)))
    return min(first) / timed, min(again) / timed


def _play_all(option: Option, worlds: list[World], tables: Tables) -> None:
    for world in worlds:
        option.year(world, tables)


def _seconds(run: Callable[[], None]) -> float:
    start = process_time()
    run()
    return process_time() - start


def _events(run: Callable[[], None]) -> int:
    """Events that simpy steps through."""
    count = 0
    step = simpy.Environment.step

    def counted(env: simpy.Environment) -> None:
        nonlocal count
        count += 1
        step(env)

    simpy.Environment.step = counted  # type: ignore[method-assign]
    try:
        run()
    finally:
        simpy.Environment.step = step  # type: ignore[method-assign]
    return count


def _shares(run: Callable[[], None]) -> list[tuple[str, float]]:
    """Share of the profiled time spent in each module's own code; the built-ins it calls count with it."""
    profile = cProfile.Profile(builtins=False)
    profile.runcall(run)
    spent: dict[str, float] = defaultdict(float)
    for (file, _, _), (_, _, own, _, _) in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        parts = Path(file).parts
        at = next((i for i, part in enumerate(parts) if part in ("planner", "simpy", "numpy", "scipy")), None)
        name = ".".join(parts[at:]).removesuffix(".py") if at is not None else "everything else"
        name = name if name.startswith("planner.") else name.split(".")[0]
        spent[name] += own
    total = sum(spent.values())
    return sorted(((name, own / total) for name, own in spent.items()), key=lambda row: -row[1])[:14]


if __name__ == "__main__":
    sys.exit(main())
