"""Truths drawn from the prior, records of them from the real simulation, and whether what is fitted covers them.

Simulation-based calibration (Talts et al. 2018, arXiv 1804.06788): where truths come from the prior and records from
the model, intervals that hold nine times in ten by their making cover nine truths in ten.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from planner.engine.player import Player, Setting
from planner.fit.changed import changed, leaves
from planner.fit.estimate import Estimate
from planner.fit.fitting import fit
from planner.records.of_run import records_of
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.inputs import Input
from planner.study import load

SMALL = Path(__file__).with_name("small.yaml")


@dataclass(frozen=True)
class Knob:
    """Something that may be other than the scenario says."""

    path: str
    sd: float
    way: str = "times"
    unit: str = ""

    def at(self, shift: float) -> Estimate:
        return Estimate(
            self.path,
            self.path,
            self.way,
            0.0,
            self.unit,
            shift,
            0.0,
            self.sd,
            0,
            "",
            "",  # type: ignore[arg-type]
        )


@dataclass(frozen=True)
class Covered:
    """One truth, and where the estimate lay: its quantile in the posterior, in standard deviations."""

    path: str
    truth: float
    z: float
    told_share: float

    @property
    def inside(self) -> bool:
        return abs(self.z) <= 1.6448536


@cache
def year() -> Records:
    """Records of a year in which all is as the scenario says, but of melts the first twenty; nobody changes them."""
    found = world(small(), (), seed=6, replicate=0)[1]
    return Records({**found.tables, "melts": found["melts"].head(20)}, found.remarks)


@cache
def small() -> Scenario:
    return load(SMALL)


def played(scenario: Scenario, seed: int, replicate: int, weighs_mix: bool) -> Records:
    """What an owner who wrote everything down would have kept of one world."""
    seen, run = Player(Setting(scenario, seed)).see("as today", "expected", replicate, diary=False)
    return records_of(run, scenario.business(), seen, weighs_mix=weighs_mix)


def world(scenario: Scenario, knobs: Iterable[Knob], seed: int, replicate: int):
    """Truths drawn from the prior, and records of a world with them."""
    knobs = tuple(knobs)
    shifts = np.random.default_rng([seed, replicate]).normal(size=len(knobs)) * [one.sd for one in knobs]
    truths = {knob.path: float(shift) for knob, shift in zip(knobs, shifts, strict=True)}
    values = changed(scenario, [knob.at(truths[knob.path]) for knob in knobs])
    inputs = [Input(path, one) for whole, value in values.items() for path, one in leaves(whole, value)]
    true = scenario.at(inputs)
    return truths, played(true, seed, replicate, weighs_mix=True)


def covered(scenario: Scenario, knobs: Iterable[Knob], seed: int, replicates: Iterable[int], **further):
    """Every truth that is estimated, in every world."""
    knobs = tuple(knobs)
    for replicate in replicates:
        truths, records = world(scenario, knobs, seed, replicate)
        for one in fit(scenario, records, **further).estimates:
            if one.path in truths:
                yield Covered(
                    one.path, truths[one.path], (one.shift - truths[one.path]) / one.sd, one.told_share
                )
