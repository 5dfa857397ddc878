"""What holds for every model of this package: its words, its example, its cost."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest
from ruamel.yaml import YAML

import planner_asking_prices
from planner.plugin.protocol import Provider
from planner.world.parts import ALLOYS, CHANNELS, PriceView

EVERY = planner_asking_prices.planner_models()
each = pytest.mark.parametrize("provider", EVERY, ids=lambda one: one.name)


@each
def test_the_example_that_users_are_shown_quotes_prices(
    provider: Provider, model: Callable[..., Any], view: Callable[..., PriceView]
) -> None:
    made = model(provider.name)
    for alloy in ALLOYS:
        for channel in CHANNELS:
            assert 0.5 < made.quote(view(), alloy, 10.0, channel) < 10.0
    assert made.tin(view()) == 33.0


@each
def test_a_quote_is_looked_up_in_microseconds(
    provider: Provider, model: Callable[..., Any], view: Callable[..., PriceView]
) -> None:
    """Measured: 1 to 6 microseconds."""
    made, seen = model(provider.name), view()
    start = perf_counter()
    for _ in range(1000):
        made.quote(seen, "hard", 10.0, "private")
    assert perf_counter() - start < 0.2


def test_naming_the_package_brings_in_nothing_heavy() -> None:
    code = (
        "import sys, planner_asking_prices; print({'pandas', 'simpy', 'altair', 'pvlib'} & set(sys.modules))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "set()"


README = Path(__file__).resolve().parents[1] / "README.md"


def test_what_the_description_shows_can_be_written_so() -> None:
    blocks = re.findall(r"```yaml\n(.*?)```", README.read_text(encoding="utf-8"), re.S)
    shown = [YAML(typ="safe").load(block)["pricing"] for block in blocks]
    assert [one["model"] for one in shown] == [f"asking.{provider.name}" for provider in EVERY]
    for one, provider in zip(shown, EVERY, strict=True):
        provider.build(provider.settings.model_validate(one["settings"], context={"currency": "EUR"}))
