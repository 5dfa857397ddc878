"""What a run is called in a store: a digest of all that may change what comes of it.

In: a scenario and a seed. Out: keys of runs. Must not know: where they are kept.

A key holds the resolved business, data files by their content, what its option costs to start and brings at the end,
seed and world, and the code: those of our own sources that play a run, the versions of Python and of what we compute
with, and every file of the packages whose models the scenario names. Names of options and outlooks are not in it, nor
is what the study wants to know. So another option, or another value in one, leaves all other runs where they are.

Where values are set to others (`Scenario.at`), their business is not made for its key: that would take longer than to
play it. Then the key holds what it is made from: the business as it is, the values, what option and outlook change.
"""

from __future__ import annotations

import hashlib
import json
import platform
import re
import sys
from collections.abc import Iterator
from functools import cache, lru_cache
from importlib.metadata import PackageNotFoundError, requires
from pathlib import Path
from typing import Any, Final

from planner import __version__
from planner.plugin.code import digest_of, places_of, version_of
from planner.plugin.packages import is_outside
from planner.plugin.registry import Registry
from planner.scenario import Given, Input, InputError, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED

FORM: Final = b"planner run 1\n"
"""Another form of key, or of what is kept under it, needs another number."""

SOURCES: Final = ("compiled", "engine/player.py", "plugin", "scenario", "trade", "workshop", "world")
"""What of planner a run is made by."""

COMPUTES_WITH: Final = ("numpy", "pint", "pydantic", "scipy", "simpy", "tzdata")
"""Packages whose version may move a number: what computes, reads values, knows summer time."""

PREPARED_KEPT: Final = 4096

_AMOUNT: Final = re.compile(r"[-+]?\d+(\.\d+)?([eE][-+]?\d+)?( [A-Za-z%/ ]+)?")


class RunKeys:
    """Keys of the runs of one scenario and seed.

    Parameters
    ----------
    scenario : Scenario
        With its options and outlooks.
    seed : int
        Start of all chance.
    """

    def __init__(self, scenario: Scenario, seed: int) -> None:
        self._scenario = scenario
        self._code = code_digest(scenario.models)
        self._seed = seed
        self._begun = lru_cache(maxsize=PREPARED_KEPT)(self._beginning)
        self._recipe = cache(self._recipe_of)
        self.told = _places(scenario)

    @property
    def code(self) -> str:
        """Digest of the code alone."""
        return self._code

    def key(self, option: str, outlook: str, replicate: int, inputs: tuple[Given, ...]) -> bytes:
        """The key of one run."""
        digest = self._begun(option, outlook, inputs).copy()
        digest.update(b"%d" % replicate)
        found: bytes = digest.digest()
        return found

    def _beginning(self, option: str, outlook: str, inputs: tuple[Given, ...]) -> Any:
        """The key as far as it is the same in every world."""
        if self._scenario.estimates:
            what = self._drawn_from(option, outlook, inputs)
        elif inputs and all(map(_is_plain, inputs)):
            what = self._made_from(option, outlook, inputs)
        else:
            try:
                what = _business(self._scenario.at(inputs), option, outlook)
            except InputError:  # the run will say so
                what = ["impossible", self._made_from(option, outlook, inputs)]
        return hashlib.sha256(FORM + _json([self._code, self._seed, what]))

    def _drawn_from(self, option: str, outlook: str, inputs: tuple[Given, ...]) -> Any:
        """What the businesses of all worlds are made from, where estimates are drawn before all else."""
        before = self._scenario.loaded
        loaded = (
            None
            if before is None
            else RunKeys(before, self._seed)._made_from(AS_TODAY, EXPECTED, self._scenario.given)
        )
        files = None
        if not all(map(_is_plain, inputs)):
            try:
                files = _business(self._scenario.at(inputs), option, outlook)
            except InputError:  # the run will say so
                files = "impossible"
        return [
            "drawn",
            self._scenario.estimates.spec,
            loaded,
            self._made_from(option, outlook, inputs),
            files,
        ]

    def _made_from(self, option: str, outlook: str, inputs: tuple[Given, ...]) -> Any:
        """What a business with other values is made from."""
        given = [
            [one.path, one.way, repr(one.value)]
            if isinstance(one, Input)
            else self._recipe("options", one.option)
            for one in inputs
        ]
        untaken = self._scenario.variants.untaken
        return [
            self._recipe("options", AS_TODAY),
            given,
            self._recipe("options", option),
            self._recipe("outlooks", outlook),
            None if untaken is None else untaken.value,
        ]

    def _recipe_of(self, kind: str, name: str) -> Any:
        """What an option or an outlook changes, and what it makes of the business as it is."""
        bodies = self._scenario.variants.tree.value.get(kind) or {}
        changes = (bodies.get(name) or {}).get("changes")
        option, outlook = (name, EXPECTED) if kind == "options" else (AS_TODAY, name)
        try:
            return [changes, _business(self._scenario, option, outlook)]
        except InputError:  # it may be possible with other values
            cost = self._scenario.options.get(option)
            return [changes, cost and cost.start_up_cost, cost and cost.resale]


def _business(scenario: Scenario, option: str, outlook: str) -> Any:
    """Everything of a business that a run depends on, in the order in which it stands."""
    cost = scenario.options[option]
    scenario.business(option, outlook)
    written = scenario.variants.written(option, outlook, digest=True)
    return [
        scenario.currency,
        repr(cost.start_up_cost),
        repr(cost.resale),
        hashlib.sha256(_json(written)).hexdigest(),
    ]


def _is_plain(given: Given) -> bool:
    """Is it an amount or an option, and surely not the name of a data file, whose content would count?"""
    if not isinstance(given, Input) or not isinstance(given.value, str):
        return True
    return given.way != "set" or _AMOUNT.fullmatch(given.value) is not None


def _places(scenario: Scenario) -> str:
    """Digest of where everything stands in the scenario's files: what goes wrong in a run is told with that."""
    tree = scenario.variants.tree
    told = hashlib.sha256()
    for steps, place in sorted((repr(steps), repr(place)) for steps, place in tree.values.items()):
        told.update(f"{steps} {place}\n".encode())
    return told.hexdigest()


@cache
def code_digest(models: frozenset[str]) -> str:
    """Digest of the code that plays a scenario which names these models."""
    told = hashlib.sha256()
    told.update(f"planner {__version__}\n".encode())
    told.update(
        f"{platform.python_implementation()} {sys.version}\n{platform.machine()} {sys.platform}\n".encode()
    )
    for name in COMPUTES_WITH:
        told.update(f"{name} {version_of(name)}\n".encode())
    home = Path(__file__).resolve().parents[1]
    told.update(digest_of(home / name for name in SOURCES).encode())
    registry = Registry()
    for package in sorted({registry.package(model) for model in models if is_outside(model)}):
        told.update(f"{package.name} {package.version}\n".encode())
        for needed in sorted(_needed_by(package.name)):
            told.update(f"{needed} {version_of(needed)}\n".encode())
        if package.entry is not None:
            told.update(digest_of(places_of(package.entry.module.partition(".")[0])).encode())
    return told.hexdigest()


def _needed_by(name: str) -> Iterator[str]:
    """Packages that a package asks for."""
    try:
        asked = requires(name) or []
    except PackageNotFoundError:
        asked = []
    for one in asked:
        if found := re.match(r"[A-Za-z0-9._-]+", one):
            yield found[0]


def _json(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), default=str).encode()
