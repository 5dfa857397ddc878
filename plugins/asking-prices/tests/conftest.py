"""Models made as a scenario would make them, and views of what an owner knows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

import planner_asking_prices
from planner.world.parts import PriceView

Make = Callable[..., Any]


@pytest.fixture(scope="session")
def model() -> Make:
    """A model of this package with these settings, as they stand in a file."""
    providers = {one.name: one for one in planner_asking_prices.planner_models()}

    def make(name: str, settings: dict[str, Any] | None = None) -> Any:
        provider = providers[name]
        written = dict(provider.example) if settings is None else settings
        return provider.build(provider.settings.model_validate(written, context={"currency": "EUR"}))

    return make


@pytest.fixture(scope="session")
def view() -> Callable[..., PriceView]:
    """What an owner knows who has 50 kg of each alloy while the yard pays 1.30 and, for zinced lead, 0.40."""

    def seen(kg: float = 50.0, **changes: Any) -> PriceView:
        stock_kg = {"hard": kg, "soft": kg, "mixed": kg, "zinced": kg}
        usual = PriceView(0.0, stock_kg, 1.3, 0.0, 0.0, yard_zinced_per_kg=0.4)  # type: ignore[arg-type]
        return usual._replace(**changes)

    return seen
