"""A package whose author has just begun: one module, put into a folder as a package manager would do it."""

from __future__ import annotations

from pathlib import Path

VERSION = "0.1.0"

HEAD = """\
import numpy as np
from pydantic import Field

from planner.plugin.protocol import Provider, hookimpl
from planner.scenario import Section
from planner.scenario.units import MoneyPerKg


class Settings(Section):
    ask_per_kg: MoneyPerKg = Field(4.0, gt=0, description="Asked (assumed).")


"""
MODEL = """\
class Oops:
    def __init__(self, settings):
        self.settings = settings

    def quote(self, view, alloy, mass_kg, channel):
        return self.settings.ask_per_kg

    def tin(self, view):
        return 30.0


"""
OFFER = """\
@hookimpl
def planner_models():
    return [Provider("pricing", "price", Settings, Oops, "one price", {"ask": "4 EUR/kg"})]
"""
SOUND = HEAD + MODEL + OFFER


def install(
    folder: Path,
    text: str = SOUND,
    entry: str = "oops = oops",
    group: str = "planner.models.v1",
    file: str = "oops.py",
) -> Path:
    """Put the package into a folder; the folder that must be on Python's path."""
    place = folder / "site"
    info = place / f"oops_models-{VERSION}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: oops-models\nVersion: {VERSION}\n")
    (info / "entry_points.txt").write_text(f"[{group}]\n{entry}\n")
    (place / file).parent.mkdir(exist_ok=True)
    (place / file).write_text(text, encoding="utf-8")
    return place


def line_of(text: str, words: str) -> int:
    """The line of a module in which these words stand first."""
    return next(number for number, line in enumerate(text.splitlines(), 1) if words in line)
