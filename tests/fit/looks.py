"""Looking back at simulated owners: their records, and what is made of them without a fit."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from planner.engine.player import Player, Setting
from planner.fit.backtest import Backtest, backtest
from planner.records.of_run import records_of
from planner.records.records import Records
from planner.scenario import Scenario
from planner.study import load

MARKET = Path(__file__).with_name("market.yaml")
GARDEN = Path(__file__).parents[1] / "study" / "garden.yaml"
ELSEWHERE = 77
"""Another seed than the forecast's: what happens is none of its worlds."""


@cache
def market() -> Scenario:
    return load(MARKET)


def kept(scenario: Scenario, replicate: int) -> Records:
    """What an owner who wrote everything down has of a world."""
    world, run = Player(Setting(scenario, ELSEWHERE)).see("as today", "expected", replicate, diary=False)
    return records_of(run, scenario.business(), world)


def as_written(scenario: Scenario, before: Records) -> tuple[Scenario, tuple[str, ...]]:
    """No fit: the scenario is the truth."""
    return scenario, ()


def looked_back(scenario: Scenario, of: Records, worlds: int = 40, seed: int = 1) -> Backtest:
    return backtest(scenario, of, replicates=worlds, seed=seed, fitting=as_written)
