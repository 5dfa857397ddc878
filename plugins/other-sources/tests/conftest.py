"""What the tests of every source share: a way to draw, a file of records, and what must hold of any supply."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import planner_other_sources
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import Horizon, Supply

PROVIDERS = {provider.name: provider for provider in planner_other_sources.planner_models()}
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scenario's folder; files of one name follow each other there."""
    return tmp_path_factory.mktemp("scenario")


@pytest.fixture(scope="session")
def build(folder: Path) -> Callable[..., Any]:
    """A model from settings as a scenario writes them."""

    def built(name: str, settings: dict[str, Any], currency: str = "EUR") -> Any:
        provider = PROVIDERS[name]
        read = provider.settings.model_validate(settings, context={"folder": folder, "currency": currency})
        return provider.build(read)

    return built


@pytest.fixture(scope="session")
def draw(build: Callable[..., Any]) -> Callable[..., Supply]:
    """What a model draws in a world; inspected as the planner does."""

    def drawn(name: str, settings: dict[str, Any], replicate: int = 0, horizon: Horizon = YEAR) -> Supply:
        supply: Supply = build(name, settings).draw(Draw(1, replicate), horizon)
        inspect(supply, Supply, horizon)
        return supply

    return drawn


@pytest.fixture(scope="session")
def records(folder: Path) -> Callable[..., str]:
    """Write a file of records; its name."""

    def write(*lines: str, name: str = "pickups.csv") -> str:
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
        return name

    return write
