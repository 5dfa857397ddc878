"""Chance is drawn before a run, in one place, from named streams."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.contract.tree import ROOT, dotted_names, modules, where

STREAMS = ROOT / "planner" / "world" / "draw.py"
CHANCE = re.compile(r"^(random|secrets|numpy\.random|np\.random)(\.|$)")
GLOBAL = re.compile(r"^(np|numpy)\.random\.(seed|rand|randn|normal|uniform|choice|shuffle|RandomState)$")
MAKES_A_GENERATOR = re.compile(
    r"\brandom\.(Generator|default_rng|RandomState|SeedSequence|Philox|PCG64|MT19937|SFC64|seed)$"
)


def chance_in(path: Path) -> list[str]:
    return [f"{where(path, line)} {name}" for line, name in dotted_names(path) if CHANCE.match(name)]


def test_the_owner_never_throws_dice() -> None:
    found = [use for path in modules("planner/workshop") for use in chance_in(path)]
    assert found == []


@pytest.mark.parametrize("stage", ["trade", "scenario", "plugin", "testing", "report", "cli"])
def test_no_random_numbers_in(stage: str) -> None:
    assert [use for path in modules(f"planner/{stage}") for use in chance_in(path)] == []


def test_only_the_streams_make_generators_in_the_world() -> None:
    found = [
        f"{where(path, line)} {name}"
        for path in [*modules("planner/world"), *modules("planner/engine")]
        if path != STREAMS
        for line, name in dotted_names(path)
        if CHANCE.match(name)
    ]
    assert found == []
    assert any(MAKES_A_GENERATOR.search(name) for _, name in dotted_names(STREAMS))


def test_a_plugin_takes_its_chance_from_the_streams_it_is_handed() -> None:
    shipped = [path for path in modules("plugins") if "src" in path.parts]
    assert [use for path in shipped for use in chance_in(path)] == []


def test_the_global_generator_is_left_alone() -> None:
    found = [
        f"{where(path, line)} {name}"
        for folder in ("planner", "plugins", "tests")
        for path in modules(folder)
        for line, name in dotted_names(path)
        if GLOBAL.match(name)
    ]
    assert found == []


def test_the_search_itself_finds_chance(tmp_path: Path) -> None:
    sample = tmp_path / "sample.py"
    sample.write_text("import random\nimport numpy as np\nx = np.random.default_rng(1).normal()\n")
    names = [name for _, name in dotted_names(sample)]
    assert sum(bool(CHANCE.match(name)) for name in names) >= 2
    assert any(MAKES_A_GENERATOR.search(name) for name in names)
