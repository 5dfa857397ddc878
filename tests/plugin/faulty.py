"""A package of models that misbehave, installed into a folder as a package manager would do it.

Its weather misbehaves in one world alone, so that the others show whether they are left alone; its prices always do.
"""

from __future__ import annotations

from pathlib import Path

VERSION = "1.2"
WORLD = 1
"""The world in which the weather misbehaves."""
PATIENCE = "2 s"
"""How long a run may take: a hundred times what one of the garden takes, and soon over where one does not end."""

MODULE = '''
import os
import signal
import time
from dataclasses import replace

import numpy as np
from pydantic import Field

from planner.plugin.protocol import Provider, hookimpl
from planner.scenario.section import Section
from planner.world.parts import Weather

class FaultSettings(Section):
    fault: str = Field(description="What it does wrong.")
    numbers: dict[str, float] = Field(default_factory=dict, description="Numbers to change.")


def anywhere(settings):
    """What both models may do."""
    match settings.fault:
        case "raises":
            raise KeyError("wind")
        case "raises what is no exception":
            raise BaseException("no more")
        case "leaves":
            raise SystemExit(3)
        case "ends the process":
            os._exit(7)
        case "is killed":
            os.kill(os.getpid(), signal.SIGKILL)
        case "sleeps":
            time.sleep(600)
        case "never returns":
            while True:
                pass
        case "sleeps and takes no hint":
            while True:
                try:
                    time.sleep(600)
                except BaseException:
                    pass
        case "changes its settings":
            settings.numbers["one"] = 1.0


class Still:
    def __init__(self, settings):
        self.settings, self.last = settings, None

    def draw(self, draw, horizon):
        weather = Weather.rounded(*(np.full(horizon.hours, value) for value in (10.0, 2.0, 0.0, 0.0)))
        self.last = self.last or weather
        if draw.replicate == WORLD:
            weather = self.misbehave(weather, draw, horizon)
        return weather

    def misbehave(self, weather, draw, horizon):
        anywhere(self.settings)
        match self.settings.fault:
            case "not a number":
                weather.wind_m_s[7] = np.nan
            case "negative":
                weather.wind_m_s[7] = -1.0
            case "too short":
                return replace(weather, rain_mm=weather.rain_mm[:-1])
            case "no array":
                return replace(weather, rain_mm=None)
            case "nothing":
                return None
            case "changes the horizon":
                horizon.month[0] = 6
            case "changes the horizon by force":
                horizon.month.setflags(write=True)
                horizon.month[0] = horizon.month[0] % 12 + 1
            case "moves the horizon":
                object.__setattr__(horizon, "days", 1)
            case "changes the draw":
                draw.seed = 2
            case "changes the draw by force":
                object.__setattr__(draw, "seed", 2)
            case "sets a setting":
                self.settings.fault = "none"
            case "changes what it returned before":
                self.last.wind_m_s[0] = 9.0
            case "rolls the dice":
                np.random.random_sample()
        return weather


class Asks:
    def __init__(self, settings):
        self.settings = settings

    def quote(self, view, alloy, mass_kg, channel):
        anywhere(self.settings)
        match self.settings.fault:
            case "not a number":
                return float("nan")
            case "negative":
                return -1.0
            case "endless":
                return float("inf")
            case "too many":
                return np.array([2.0, 2.0])
            case "changes the stock":
                view.stock_kg[alloy] = 0.0
            case "changes the view":
                view.t_h = 0.0
            case "rolls the dice":
                np.random.random_sample()
        return 2.0

    def tin(self, view):
        return 20.0


@hookimpl
def planner_models():
    example = {"fault": "none"}
    return [
        Provider("weather", "still", FaultSettings, Still, "the same weather in every hour", example),
        Provider("pricing", "asks", FaultSettings, Asks, "the same price for everybody", example),
    ]
'''


def install(folder: Path) -> Path:
    """Put the package into a folder; the folder that must be on Python's path."""
    place = folder / "site"
    info = place / f"planner_acme-{VERSION}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: planner-acme\nVersion: {VERSION}\n")
    (info / "entry_points.txt").write_text("[planner.models.v1]\nacme = planner_acme\n")
    (place / "planner_acme.py").write_text(MODULE.replace("== WORLD", f"== {WORLD}"))
    return place


def scenario(folder: Path, garden: Path, *faults: tuple[str, str]) -> Path:
    """The garden of the tests, with an option for each (kind, fault); its weather or prices come from the package."""
    (folder / "garden.yaml").write_text(garden.read_text(encoding="utf-8"), encoding="utf-8")
    lines = [HEAD.format(patience=PATIENCE)]
    lines += [OPTION.format(kind=kind, fault=fault, model=MODELS[kind]) for kind, fault in faults]
    file = folder / "acme.yaml"
    file.write_text("".join(lines), encoding="utf-8")
    return file


def line_of(file: Path, kind: str, fault: str) -> int:
    """The line of the scenario that names the model of a fault."""
    lines = file.read_text(encoding="utf-8").splitlines()
    return lines.index(f"  {kind} {fault}:") + 3


MODELS = {"weather": "acme.still", "pricing": "acme.asks"}
HEAD = """\
extends: garden.yaml
title: With a package
study: {{patience: {patience}}}
options:
"""
OPTION = """\
  {kind} {fault}:
    changes:
      {kind}.model: {model}
      {kind}.settings: {{fault: {fault}}}
"""
