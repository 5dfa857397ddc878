"""The models of one business, made ready once, before any run.

In: a registry and a business. Out: ``Models``, from which worlds are built.
Must not know: chance, replicates, runs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from hashlib import blake2b
from types import MappingProxyType
from typing import Any

from planner.plugin.packages import is_outside
from planner.plugin.registry import Built, Registry, key_of
from planner.scenario.business import Business
from planner.scenario.section import Choice, Section
from planner.scenario.tree import Steps
from planner.world.asking import HANDED, Asks, ModelError, Source, told, unheard, when
from planner.world.build import Models, daylight_of, horizon_of
from planner.world.draw import Draw
from planner.world.parts import Alloy, Channel, PriceView, Pricing

Where = Callable[[Steps], str]
"""Where a scenario has the value at a path, such as ``my.yaml:12``; "" where that is not known."""


def nowhere(steps: Steps) -> str:
    """There is no file."""
    return ""


def models_for(registry: Registry, business: Business, where: Where = nowhere) -> Models:
    """Everything that a business is played with but for chance.

    Parameters
    ----------
    registry : Registry
        Makes the models.
    business : Business
        Settings, option and outlook applied.
    where : callable
        Places in the scenario's file, for messages.

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
        weather=_source(registry, "weather", business.weather, "weather", where(("weather", "model"))),
        rates=_source(registry, "rates", business.rates, "rates", where(("rates", "model"))),
        supplies=_sources(registry, "supply", business.supply, where),
        demands=_sources(registry, "demand", business.demand, where),
        pricing=_pricing(registry, business.pricing, where(("pricing", "model"))),
    )


def _sources(
    registry: Registry, kind: str, choices: tuple[Choice, ...], where: Where
) -> tuple[Source[Any], ...]:
    """Each entry with streams of its own, by its name: another entry changes none of them."""
    names = [choice.name or choice.model for choice in choices]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise ModelError(f"two entries of {kind} are called '{doubled[0]}'; give each a name of its own")
    return tuple(
        _source(registry, kind, choice, f"{kind}/{name}", where((kind, number, "model")))
        for number, (choice, name) in enumerate(zip(choices, names, strict=True))
    )


def _source(registry: Registry, kind: str, choice: Choice, stream: str, place: str) -> Source[Any]:
    built = registry.built(kind, choice, place)
    settings = choice.settings
    values = key_of(settings) if isinstance(settings, Section) else repr(settings)
    label = registry.label(choice.model)
    return Source(
        stream=stream,
        name=choice.name or choice.model,
        label=label,
        key=blake2b(f"{label}\n{values}".encode(), digest_size=16).hexdigest(),
        model=built.model,
        outside=is_outside(choice.model),
        place=place,
        intact=built.intact,
    )


def _pricing(registry: Registry, choice: Choice, place: str) -> Pricing:
    built = registry.built("pricing", choice, place)
    if is_outside(choice.model):
        return Watched(built, registry.label(choice.model), place)
    model: Pricing = built.model
    return model


class Watched:
    """A pricing model of a package: what it fails at is told with its name, and what it quotes is a price.

    Parameters
    ----------
    built : Built
        The model and its settings.
    label : str
        The model, its package and version.
    place : str
        Where the scenario names it.
    draw : Draw, optional
        Of the run in which it is asked; without one it is asked before any run.
    asks : Asks
        Told before and after each quote.
    """

    def __init__(
        self, built: Built, label: str, place: str = "", draw: Draw | None = None, asks: Asks = unheard
    ) -> None:
        self._built, self._label, self._place, self._asks = built, label, place, asks
        self._model: Pricing = built.model
        run = when(draw, place) if draw is not None else place
        self._quote, self._tin = (f"{label}, {hook}{run and f', {run}'}" for hook in ("quote", "tin"))

    def during(self, draw: Draw, asks: Asks) -> Watched:
        """The same model, asked in one run."""
        return Watched(self._built, self._label, self._place, draw, asks)

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        self._asks(self._quote)
        try:
            per_kg = self._model.quote(_seen(view), alloy, mass_kg, channel)
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            raise ModelError(f"{self._quote}: {told(error)}") from error
        self._asks("")
        return _sound(self._quote, per_kg)

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        self._asks(self._tin)
        try:
            per_kg = self._model.tin(_seen(view))
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            raise ModelError(f"{self._tin}: {told(error)}") from error
        self._asks("")
        return _sound(self._tin, per_kg)

    def see_settings_left_alone(self) -> None:
        """Once a run has ended: tell if the settings are no longer as they were."""
        if not self._built.intact():
            raise ModelError(f"{self._quote}: it changed the settings that it was handed; {HANDED}")


def _seen(view: PriceView) -> PriceView:
    """What a package may look at, and no more than look at."""
    return view._replace(stock_kg=MappingProxyType(view.stock_kg))


def _sound(where: str, per_kg: Any) -> float:
    if not isinstance(per_kg, (int, float)) or not 0.0 <= per_kg < math.inf:
        raise ModelError(f"{where}: it returned {per_kg!r}; a price is a number from 0 up")
    return float(per_kg)
