"""The season that comes with `planner records start`: `python -m tests.records.season` plays it anew and writes it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from planner import load
from planner.engine.player import Player, Setting
from planner.records.of_run import records_of
from planner.records.starting import SEASON, SEASON_CURRENCY
from planner.records.tables import TABLES
from planner.records.writing import Units, csv_text, rows_as_written

EXAMPLE = Path(__file__).resolve().parents[2] / "scenarios" / "example.yaml"
SEED, WORLD = 1, 0
FIRST, LAST = date(2026, 1, 1), date(2026, 6, 30)


def season() -> Mapping[str, str]:
    """Half a year of the example as it is today, by file name."""
    scenario = load(EXAMPLE)
    world, run = Player(Setting(scenario, SEED)).see("as today", "expected", WORLD)
    records = records_of(run, scenario.business("as today", "expected"), world, weighs_mix=True)
    kept, units = records.between(FIRST, LAST), Units(SEASON_CURRENCY)
    return {
        f"{name}.csv": csv_text(table, rows_as_written(table, kept[name].to_dict("records"), units), units)
        for name, table in TABLES.items()
    }


if __name__ == "__main__":
    SEASON.mkdir(exist_ok=True)
    for name, text in season().items():
        (SEASON / name).write_text(text, encoding="utf-8")
