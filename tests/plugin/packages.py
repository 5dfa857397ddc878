"""Invented packages of models, as if they were installed."""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import EntryPoint, EntryPoints
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from planner.plugin.protocol import ENTRY_POINT_GROUP, Provider, hookimpl
from planner.scenario.section import Section
from planner.world.draw import Draw
from planner.world.parts import Horizon, PriceView, Weather


class Entry(EntryPoint):
    """An entry point whose package need not exist."""

    def __new__(
        cls,
        namespace: str,
        package: str,
        load: Callable[[], Any],
        version: str = "1.2",
        group: str = ENTRY_POINT_GROUP,
    ) -> Entry:
        made = super().__new__(cls)
        EntryPoint.__init__(made, namespace, f"{package}.models", group)
        vars(made).update(dist=SimpleNamespace(name=package, version=version), load=load, loaded=[])
        return made

    def __init__(self, *args: Any, **named: Any) -> None:
        """Everything is set where it is made."""


def install(monkeypatch: pytest.MonkeyPatch, *entries: EntryPoint) -> None:
    """Let these be the only packages that offer models."""

    def entry_points() -> EntryPoints:
        return EntryPoints(entries)

    monkeypatch.setattr("planner.plugin.packages.entry_points", entry_points)


class Nothing(Section):
    """A model without settings."""


class Still:
    """Weather that is always the same, unless it is told to misbehave."""

    def __init__(self, misbehave: Callable[[Weather], Weather] = lambda weather: weather) -> None:
        self.misbehave = misbehave

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return self.misbehave(
            Weather.rounded(*(np.full(horizon.hours, value) for value in (10.0, 2.0, 0.0, 0.0)))
        )


class Asks:
    """Asks whatever it was made with."""

    def __init__(self, per_kg: Any) -> None:
        self.per_kg = per_kg

    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> float:
        return self.tin(view)

    def tin(self, view: PriceView) -> float:
        if isinstance(self.per_kg, BaseException):
            raise self.per_kg
        found: float = self.per_kg
        return found


def offer(
    kind: Any = "weather", name: str = "still", build: Callable[[Any], Any] | None = None, **changes: Any
) -> Provider:
    """One model on offer."""
    values: dict[str, Any] = {
        "kind": kind,
        "name": name,
        "settings": Nothing,
        "build": build or (lambda settings: Still()),
        "summary": "always the same",
        "example": {},
    }
    return Provider(**(values | changes))


def plugin(*offers: Any) -> Any:
    """A package's module that returns these."""

    class Module:
        @hookimpl
        def planner_models(self) -> list[Any]:
            return list(offers)

    return Module()
