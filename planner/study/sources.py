"""Where a study's scenario and its versions come from.

In: the path of a scenario, or a scenario. Out: the scenario loaded with every installed model; versions; cautions.
Must not know: runs, how anything is shown.
"""

from __future__ import annotations

import platform
from collections.abc import Iterable
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import Final

from planner import __version__
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario import load as load_with
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.study import Subject
from planner.trade.safety import Caution, cautions_for
from planner.trade.ways import WAYS

COMPUTES_WITH: Final = ("numpy", "scipy", "simpy")
"""Packages whose version may move a number."""


def load(path: str | Path) -> Scenario:
    """Load a scenario; its models may come from any installed package.

    Raises
    ------
    planner.scenario.InputError
        With every problem found.
    """
    return load_with(path, Registry())


def subject(scenario: Scenario, seed: int, replicates: int, businesses: Iterable[Business]) -> Subject:
    """What is studied, with everything that the result depends on."""
    return Subject(
        title=scenario.title,
        file=scenario.path.name,
        digest=scenario.digest,
        currency=scenario.currency,
        units=scenario.units,
        seed=seed,
        replicates=replicates,
        days=_days(scenario),
        confidence=scenario.study.confidence,
        worth_caring_about=scenario.study.worth_caring_about,
        base=AS_TODAY,
        versions=versions(Registry(), businesses),
        resolved=scenario.variants.written(AS_TODAY, EXPECTED, digest=True),
        probabilities=scenario.probabilities,
    )


def _days(scenario: Scenario) -> int:
    calendar = scenario.business().calendar
    days: int = 365 * calendar.years if calendar.days is None else calendar.days
    return days


def versions(registry: Registry, businesses: Iterable[Business]) -> dict[str, str]:
    """What a result depends on beside the scenario: program, interpreter, libraries, packages of models."""
    found = {"planner": __version__, "python": platform.python_version()}
    found |= {name: version(name) for name in COMPUTES_WITH}
    models = {
        choice.model
        for one in businesses
        for choice in (*one.supply, *one.demand, one.weather, one.rates, one.pricing)
    }
    packages = {registry.package(model) for model in models}
    return found | {package.name: package.version for package in sorted(packages, key=lambda one: one.name)}


def cautions(businesses: Iterable[Business]) -> tuple[Caution, ...]:
    """What can hurt in what any of these businesses does."""
    those = list(businesses)
    return cautions_for(
        lifts=any(one.fetching.on for one in those),
        melts=any(one.melting.on for one in those),
        sorts=any(one.sorting.on for one in those),
        drives=any(one.fetching.on for one in those),
        helper=any(one.helper is not None or WAYS[one.lifting.method].people > 1 for one in those),
        sells=any(one.demand or one.fetching.on for one in those),
    )


def warnings_of(scenario: Scenario) -> tuple[str, ...]:
    """What is odd about a scenario, with the name of its file but not the folder that it lies in."""
    return tuple(str(replace(one, file=Path(one.file).name)) for one in scenario.warnings)
