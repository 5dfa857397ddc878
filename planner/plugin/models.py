"""The models of one business, made ready once, before any run.

In: a registry and a business. Out: ``Models``, from which worlds are built.
Must not know: chance, replicates, runs.
"""

from __future__ import annotations

import math
from hashlib import blake2b
from typing import Any

from planner.plugin.packages import BUILT_IN
from planner.plugin.registry import Registry, key_of
from planner.scenario.business import Business
from planner.scenario.section import Choice, Section
from planner.world.build import ModelError, Models, Source, daylight_of, horizon_of, told
from planner.world.parts import Alloy, Channel, PriceView, Pricing


def models_for(registry: Registry, business: Business) -> Models:
    """Everything that a business is played with but for chance.

    Raises
    ------
    ModelError
        A model cannot be made from its settings; or two entries of a list bear the same name.
    UnknownModel
        There is no such model.
    """
    horizon = horizon_of(business)
    sunrise_h, sunset_h = daylight_of(horizon)
    return Models(
        horizon=horizon,
        sunrise_h=sunrise_h,
        sunset_h=sunset_h,
        weather=_source(registry, "weather", business.weather, "weather"),
        rates=_source(registry, "rates", business.rates, "rates"),
        supplies=_sources(registry, "supply", business.supply),
        demands=_sources(registry, "demand", business.demand),
        pricing=_pricing(registry, business.pricing),
    )


def _sources(registry: Registry, kind: str, choices: tuple[Choice, ...]) -> tuple[Source[Any], ...]:
    """Each entry with streams of its own, by its name: another entry changes none of them."""
    names = [choice.name or choice.model for choice in choices]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise ModelError(f"two entries of {kind} are called '{doubled[0]}'; give each a name of its own")
    return tuple(
        _source(registry, kind, choice, f"{kind}/{name}") for choice, name in zip(choices, names, strict=True)
    )


def _source(registry: Registry, kind: str, choice: Choice, stream: str) -> Source[Any]:
    model = registry.build(kind, choice)
    settings = choice.settings
    values = key_of(settings) if isinstance(settings, Section) else repr(settings)
    label = registry.label(choice.model)
    return Source(
        stream=stream,
        name=choice.name or choice.model,
        label=label,
        key=blake2b(f"{label}\n{values}".encode(), digest_size=16).hexdigest(),
        model=model,
        outside=_outside(choice),
    )


def _outside(choice: Choice) -> bool:
    return not choice.model.startswith(f"{BUILT_IN}.")


def _pricing(registry: Registry, choice: Choice) -> Pricing:
    model: Pricing = registry.build("pricing", choice)
    return Watched(model, registry.label(choice.model)) if _outside(choice) else model


class Watched:
    """A pricing model of a package: what it fails at is told with its name, and what it quotes is a price."""

    def __init__(self, model: Pricing, label: str) -> None:
        self._model, self._label = model, label

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        try:
            per_kg = self._model.quote(view, alloy, mass_kg, channel)
        except (Exception, SystemExit) as error:
            raise ModelError(f"{self._label}, quote: {told(error)}") from error
        return self._sound("quote", per_kg)

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        try:
            per_kg = self._model.tin(view)
        except (Exception, SystemExit) as error:
            raise ModelError(f"{self._label}, tin: {told(error)}") from error
        return self._sound("tin", per_kg)

    def _sound(self, hook: str, per_kg: Any) -> float:
        if not isinstance(per_kg, (int, float)) or math.isnan(per_kg) or per_kg < 0.0:
            raise ModelError(f"{self._label}, {hook}: it returned {per_kg!r}; a price is a number from 0 up")
        return float(per_kg)
