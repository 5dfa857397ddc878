"""The contract between the planner and its models, built-in or from a package.

In: a settings class and a build function from whoever offers a model. Out: model objects with plain methods that are
called once a replicate (weather, rates, supply, demand) or once a quote (pricing).
Must not know: the workshop, how runs are executed.

A package announces itself by an entry point in the group ``planner.models.v1``; the entry point's name is the
namespace of its models (``measured`` -> ``measured.tmy3``). Hooks may gain arguments, never lose or change them; a
breaking change is a new group.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, Protocol, TypeAlias

import pluggy

from planner.scenario.section import Section
from planner.world.draw import Draw
from planner.world.parts import Crowd, Horizon, Pricing, Rates, Supply, Weather

Kind = Literal["pricing", "supply", "weather", "rates", "demand"]
KINDS: Final[tuple[Kind, ...]] = ("pricing", "supply", "weather", "rates", "demand")
ENTRY_POINT_GROUPS: Final = "planner.models"
"""Every version of the group begins so."""
ENTRY_POINT_GROUP: Final = f"{ENTRY_POINT_GROUPS}.v1"

hookspec = pluggy.HookspecMarker("planner")
hookimpl = pluggy.HookimplMarker("planner")


class WeatherModel(Protocol):
    """Draws the weather of the horizon, once a replicate."""

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather; uses streams of ``draw`` only."""
        ...


class RatesModel(Protocol):
    """Draws what the yard pays, once a replicate."""

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """Daily prices for every good [currency/kg]."""
        ...


class SupplyModel(Protocol):
    """Draws shops and their buckets, once a replicate."""

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Shops with all the buckets they would fill within the horizon."""
        ...


class DemandModel(Protocol):
    """Draws one class of buyers, once a replicate."""

    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        """People with the sequence of their needs."""
        ...


PricingModel: TypeAlias = Pricing
"""Quotes a price, once for each that is asked for."""


@dataclass(frozen=True, slots=True)
class Provider:
    """One model on offer.

    Parameters
    ----------
    kind : Kind
        What it models.
    name : str
        Its name inside the package's namespace, such as ``tmy3``.
    settings : type[Section]
        Closed, frozen settings class.
    build : callable
        ``build(settings) -> model``; called once for each distinct settings, before any run. May read the data
        files that the settings name. Raises ``ValueError`` with one plain sentence when that fails.
    summary : str
        One line for ``planner plugins``.
    example : Mapping
        Settings as a user would write them; checked by the tests.
    """

    kind: Kind
    name: str
    settings: type[Section]
    build: Callable[[Any], Any]
    summary: str
    example: Mapping[str, Any]


class ModelHooks:
    """Hook specifications."""

    @hookspec
    def planner_models(self) -> Iterable[Provider]:
        """Return the models this package offers. Called once, when a scenario names the package."""
        raise NotImplementedError
