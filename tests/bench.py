"""How long a simulated year takes: ``make bench``. No test; compare ratios within one run.

Prints milliseconds a simulated year for "as today" and for the dearest option, the share of time by module, events a
year, and the time to draw and build a world.
"""

from __future__ import annotations

import cProfile
import pstats
import statistics
import sys
import time
from collections import defaultdict
from functools import partial
from pathlib import Path

import simpy

from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario import load
from planner.workshop.play import play
from planner.workshop.premises import StartUp, Tables, premises
from planner.world.build import build
from planner.world.draw import Draw

SCENARIO = Path(__file__).parents[1] / "scenarios" / "example.yaml"
WARM, TIMED = 10, 20


def main() -> None:
    """Time the example."""
    scenario, registry = load(SCENARIO, Registry()), Registry()
    businesses = {name: scenario.business(name) for name in scenario.options}
    models = {name: models_for(registry, business) for name, business in businesses.items()}
    years = businesses["as today"].calendar.years
    tables = Tables()
    options = {
        name: StartUp(option.start_up_cost, option.resale) for name, option in scenario.options.items()
    }

    def year(name: str, replicate: int) -> float:
        world = build(Draw(1, replicate), businesses[name], models[name], {})
        start = time.perf_counter()
        play(businesses[name], world, models[name].pricing, options[name], tables, premises(businesses[name]))
        return time.perf_counter() - start

    def years_of(name: str) -> None:
        for i in range(TIMED):
            year(name, WARM + i)

    drawn = []
    for replicate in range(WARM + TIMED):
        start = time.perf_counter()
        build(Draw(1, replicate), businesses["as today"], models["as today"], {})
        drawn.append(time.perf_counter() - start)
    print(f"draw and build a world: {1e3 * statistics.median(drawn[WARM:]):.2f} ms per simulated year")

    cost = {name: statistics.median(year(name, i) for i in range(4)) for name in businesses}
    dearest = max(cost, key=lambda name: cost[name])
    for name in ("as today", dearest):
        for replicate in range(WARM):
            year(name, replicate)
        first = statistics.median(year(name, WARM + i) for i in range(TIMED))
        again = statistics.median(year(name, WARM + i) for i in range(TIMED))
        print(
            f"{name}: {1e3 * first / years:.1f} ms per simulated year "
            f"({1e3 * again / years:.1f} ms once its heat table is complete)"
        )
        print(f"  events a year: {_events(partial(year, name, WARM)) / years:.0f}")
        for module, share in _shares(partial(years_of, name)):
            print(f"  {100 * share:5.1f} %  {module}")


def _events(run: object) -> int:
    """Events that simpy steps through."""
    count = 0
    step = simpy.Environment.step

    def counted(env: simpy.Environment) -> None:
        nonlocal count
        count += 1
        step(env)

    simpy.Environment.step = counted  # type: ignore[method-assign]
    try:
        run()  # type: ignore[operator]
    finally:
        simpy.Environment.step = step  # type: ignore[method-assign]
    return count


def _shares(run: object) -> list[tuple[str, float]]:
    """Share of the profiled time spent in each module's own code; the built-ins it calls count with it."""
    profile = cProfile.Profile(builtins=False)
    profile.runcall(run)  # type: ignore[arg-type]
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
