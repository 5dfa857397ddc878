"""What holds for every built-in model beside what the kit asks: its words, where its numbers come from, its shapes."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field

from planner.plugin.builtin import planner_models
from planner.plugin.protocol import KINDS, Kind, Provider
from planner.plugin.registry import Registry
from planner.scenario.business import Business
from planner.scenario.section import Choice, Section
from planner.scenario.spread import Spread, SpreadMassKg
from planner.scenario.units import MassKg
from planner.testing.conformance.written import sections_of
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import Crowd, Horizon, Rates, Supply, Weather

PARTS: dict[Kind, type] = {"weather": Weather, "rates": Rates, "supply": Supply, "demand": Crowd}
EVERY = list(planner_models())
REGISTRY = Registry()
each = pytest.mark.parametrize("provider", EVERY, ids=lambda one: f"{one.kind}-{one.name}")


@each
def test_every_field_is_explained(provider: Provider) -> None:
    silent = [
        f"{section.__name__}.{name}"
        for section in sections_of(provider.settings)
        for name, field in section.model_fields.items()
        if not (field.description or "").endswith((".", "?"))
    ]
    assert silent == []


SOURCES = (
    "assumed",
    "common practice",
    "from memory",
    "published",
    "NIOSH",
    "CFR",
    "IRS",
    "ASTM",
    "project's rule",
)
"""What says where a number comes from."""


def numbers(default: Any) -> list[float]:
    """The numbers in a default; a distribution and a table hold several."""
    if isinstance(default, Spread):
        return list(default.numbers)
    if isinstance(default, tuple):
        return [number for part in default for number in numbers(part)]
    return [default] if isinstance(default, (int, float)) and not isinstance(default, bool) else []


def without_source(of: type[Section]) -> list[str]:
    """Numeric defaults other than the neutral 0 and 1 whose description names no source."""
    return [
        f"{section.__name__}.{name} = {default!r}"
        for section in sections_of(of)
        for name, field in section.model_fields.items()
        if not isinstance(default := field.get_default(call_default_factory=True, validated_data={}), Section)
        if set(numbers(default)) - {0, 1}
        if not any(word in (field.description or "") for word in SOURCES)
    ]


@each
def test_every_number_of_a_model_names_its_source_or_says_that_it_is_assumed(provider: Provider) -> None:
    assert without_source(provider.settings) == []


def test_every_number_of_the_business_names_its_source_or_says_that_it_is_assumed() -> None:
    assert len(sections_of(Business)) > 20
    assert without_source(Business) == []


def test_a_number_without_a_source_is_found() -> None:
    class Bare(Section):
        plain_kg: MassKg = Field(3.0, description="A mass.")
        neutral_kg: MassKg = Field(0.0, description="Nothing.")
        spread_kg: SpreadMassKg = Field(Spread("uniform", (2.0, 3.0)), description="Masses.")
        said_kg: MassKg = Field(3.0, description="A mass (assumed).")

    class Outer(Section):
        inner: Bare | None = Field(None, description="Inside.")

    assert sorted(one.split(" = ")[0] for one in without_source(Outer)) == ["Bare.plain_kg", "Bare.spread_kg"]


def test_every_kind_has_a_built_in_model() -> None:
    assert {provider.kind for provider in EVERY} == set(KINDS)


def days(low: float, high: float) -> st.SearchStrategy[Any]:
    """A duration or a distribution of durations, as a user would write it."""
    number = st.floats(max(low, 0.01), high).map(lambda value: round(value, 2))
    return st.one_of(
        number.map(lambda value: f"{value} days"),
        number.map(lambda value: {"exponential": {"mean": f"{value} days"}}),
        st.tuples(number, st.floats(0.05, 2.0)).map(
            lambda of: {
                "gamma": {"mean": f"{of[0]} days", "sd": f"{max(round(of[0] * of[1], 2), 0.01)} days"}
            }
        ),
    )


def share(high: float = 1.0) -> st.SearchStrategy[float]:
    return st.floats(0.0, high).map(lambda value: round(value, 4))


factors = st.lists(st.floats(0.0, 3.0).map(lambda value: round(value, 2)), min_size=12, max_size=12)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
season = factors.map(lambda values: dict(zip(MONTHS, values, strict=True)))
horizon = st.builds(
    Horizon,
    st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    st.integers(1, 400),
    st.floats(-66.0, 66.0),
)


def drawn(kind: Kind, name: str, settings: dict[str, Any], horizon: Horizon, seed: int) -> Any:
    model = REGISTRY.build(kind, Choice(model=f"core.{name}", settings=settings))
    part = model.draw(Draw(seed, 0), horizon)
    inspect(part, PARTS[kind], horizon)
    return part


@given(
    gap=days(1.0, 60.0), waits=days(0.0, 100.0), varies=share(0.4), falls=share(), season=season,
    growth=st.floats(-0.5, 1.0), horizon=horizon, seed=st.integers(0, 2**40),
)  # fmt: skip
def test_shops_are_sound_whatever_is_set(
    gap: Any, waits: Any, varies: float, falls: float, season: Any, growth: float, horizon: Horizon, seed: int
) -> None:
    settings = {
        "shops": {
            "A": {"x": "1 km", "y": "1 km", "gap": gap, "waits": waits},
            "B": {"x": "-1 km", "y": "0 km"},
        },
        "typical": {"mix": {"varies_share": varies}},
        "lead_falls_a_year_share": falls,
        "season": season,
        "growth_a_year_share": growth,
    }
    supply = drawn("supply", "shops", settings, horizon, seed)
    for shop in supply.shops:
        assert (shop.ready_h <= horizon.hours).all()


@given(
    people=st.integers(1, 30), gap=days(2.0, 200.0), patience=days(0.0, 40.0), varies=share(0.5), season=season,
    shows_up=share(), horizon=horizon, seed=st.integers(0, 2**40),
)  # fmt: skip
def test_crowds_are_sound_whatever_is_set(
    people: int,
    gap: Any,
    patience: Any,
    varies: float,
    season: Any,
    shows_up: float,
    horizon: Horizon,
    seed: int,
) -> None:
    settings = {
        "people": people,
        "known": people // 2,
        "gap": gap,
        "patience": patience,
        "size": {"gamma": {"mean": "10 kg", "sd": "9 kg"}},
        "most": {"hard": {"normal": {"mean": "4 EUR/kg", "sd": "3 EUR/kg"}}, "zinced": "1 EUR/kg"},
        "need_varies_share": varies,
        "shows_up_share": shows_up,
        "season": season,
    }
    crowd = drawn("demand", "returning", settings, horizon, seed)
    assert (crowd.gap_h.sum(axis=1) > crowd.operational_h[-1]).all()


@given(
    wet=share(), stays=share(0.95), wind=st.floats(0.0, 20.0), shape=st.floats(0.8, 10.0), spells=st.floats(0.0, 8.0),
    lasts=st.floats(1.0, 500.0), horizon=horizon, seed=st.integers(0, 2**40),
)  # fmt: skip
def test_weather_is_sound_whatever_is_set(
    wet: float,
    stays: float,
    wind: float,
    shape: float,
    spells: float,
    lasts: float,
    horizon: Horizon,
    seed: int,
) -> None:
    settings = {
        "wet_days_share": wet,
        "wet_stays_share": stays,
        "wind": f"{wind:.3f} m/s",
        "wind_shape": shape,
        "spells": f"{spells:.3f} K",
        "spells_last": f"{lasts:.2f} h",
        "wind_lasts": f"{lasts:.2f} h",
    }
    drawn("weather", "synthetic", settings, horizon, seed)


@given(
    half_life=days(0.5, 1000.0).filter(lambda value: isinstance(value, str)), volatility=share(),
    together=share(), trend=st.floats(-0.9, 1.0), horizon=horizon, seed=st.integers(0, 2**40),
)  # fmt: skip
def test_rates_are_sound_whatever_is_set(
    half_life: Any, volatility: float, together: float, trend: float, horizon: Horizon, seed: int
) -> None:
    lead = {
        "mean": "1.3 EUR/kg",
        "half_life": half_life,
        "volatility_share": volatility,
        "trend_a_year_share": trend,
    }
    rates = drawn("rates", "mean_reverting", {"lead": lead, "together_share": together}, horizon, seed)
    assert np.isfinite(rates.per_kg["lead"]).all()
    assert (rates.per_kg["lead"] > 0).all()
