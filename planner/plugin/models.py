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
from planner.world.asking import DICE, OR_ELSE, Asks, ModelError, Source, unheard, when
from planner.world.build import Models, daylight_of, horizon_of
from planner.world.draw import Draw, global_chance
from planner.world.parts import Alloy, Channel, PriceView, Pricing
from planner.world.telling import HANDED, told

Where = Callable[[Steps], str]
"""Where a scenario has the value at a path, such as ``my.yaml:12``; "" where that is not known."""


def nowhere(steps: Steps) -> str:
    """There is no file."""
    return ""


def models_for(
    registry: Registry,
    business: Business,
    where: Where = nowhere,
    asks: Asks = unheard,
    like: tuple[Business, Models] | None = None,
) -> Models:
    """Everything that a business is played with but for chance.

    Parameters
    ----------
    registry : Registry
        Makes the models.
    business : Business
        Settings, option and outlook applied.
    where : callable
        Places in the scenario's file, for messages.
    asks : Asks
        Told of each package whose model is built.
    like : tuple of Business and Models, optional
        A business with its models that stands in the same places: models of what is the same in both are taken over.

    Raises
    ------
    ModelError
        A model cannot be made from its settings; or two entries of a list bear the same name.
    UnknownModel
        There is no such model.
    """
    known, theirs = (None, None) if like is None else like

    def same(part: str) -> bool:
        return known is not None and getattr(known, part) == getattr(business, part)

    if theirs is not None and same("calendar"):
        horizon, sunrise_h, sunset_h = theirs.horizon, theirs.sunrise_h, theirs.sunset_h
    else:
        horizon = horizon_of(business)
        sunrise_h, sunset_h = daylight_of(horizon)
    return Models(
        horizon=horizon,
        sunrise_h=sunrise_h,
        sunset_h=sunset_h,
        weather=theirs.weather
        if theirs is not None and same("weather")
        else _source(registry, "weather", business.weather, "weather", where(("weather", "model")), asks),
        rates=theirs.rates
        if theirs is not None and same("rates")
        else _source(registry, "rates", business.rates, "rates", where(("rates", "model")), asks),
        supplies=theirs.supplies
        if theirs is not None and same("supply")
        else _sources(registry, "supply", business.supply, where, asks),
        demands=theirs.demands
        if theirs is not None and same("demand")
        else _sources(registry, "demand", business.demand, where, asks),
        pricing=theirs.pricing
        if theirs is not None and same("pricing")
        else _pricing(registry, business.pricing, where(("pricing", "model")), asks),
    )


def _sources(
    registry: Registry, kind: str, choices: tuple[Choice, ...], where: Where, asks: Asks
) -> tuple[Source[Any], ...]:
    """Each entry with streams of its own, by its name: another entry changes none of them."""
    names = [choice.name or choice.model for choice in choices]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise ModelError(f"two entries of {kind} are called '{doubled[0]}'; give each a name of its own")
    return tuple(
        _source(registry, kind, choice, f"{kind}/{name}", where((kind, number, "model")), asks)
        for number, (choice, name) in enumerate(zip(choices, names, strict=True))
    )


def _source(
    registry: Registry, kind: str, choice: Choice, stream: str, place: str, asks: Asks
) -> Source[Any]:
    built = registry.built(kind, choice, place, asks)
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
        homes=built.homes,
    )


def _pricing(registry: Registry, choice: Choice, place: str, asks: Asks) -> Pricing:
    built = registry.built("pricing", choice, place, asks)
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
        self._asked = self._quote
        self._chance = global_chance()

    def during(self, draw: Draw, asks: Asks) -> Watched:
        """The same model, asked in one run."""
        return Watched(self._built, self._label, self._place, draw, asks)

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        return self._price(self._quote, lambda: self._model.quote(_seen(view), alloy, mass_kg, channel))

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        return self._price(self._tin, lambda: self._model.tin(_seen(view)))

    def see_all_left_alone(self) -> None:
        """Once a run has ended: tell if settings or global random numbers are no longer as they were."""
        self._see_chance_left_alone()
        if not self._built.intact():
            raise ModelError(f"{self._quote}: it changed the settings that it was handed; {HANDED}")

    def _price(self, hook: str, ask: Callable[[], Any]) -> float:
        if hook != self._asked:
            self._see_chance_left_alone()
            self._asked = hook
        self._asks(hook)
        try:
            per_kg = ask()
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            raise ModelError(f"{hook}: {told(error, self._built.homes)}") from error
        self._asks("")
        return _sound(hook, per_kg)

    def _see_chance_left_alone(self) -> None:
        """Looking takes as long as some quotes, so not after each, but whenever another hook is asked."""
        if global_chance() != self._chance:
            raise ModelError(f"{self._asked}: {DICE}; there is no chance in a price, {OR_ELSE}")


def _seen(view: PriceView) -> PriceView:
    """What a package may look at, and no more than look at."""
    return view._replace(stock_kg=MappingProxyType(view.stock_kg))


def _sound(where: str, per_kg: Any) -> float:
    if not isinstance(per_kg, (int, float)) or not 0.0 <= per_kg < math.inf:
        raise ModelError(f"{where}: it returned {per_kg!r}; a price is a number from 0 up")
    return float(per_kg)
