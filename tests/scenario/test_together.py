"""Mistakes that stand together are all told: none hides another, none is told twice, none makes up a third."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from planner.scenario import InputError
from tests.scenario.stand_in import load_text

TEXT = """\
title: A test
currency: EUR
melting:
  power: 9 kW
  rounds: 4
  coldest: -5 degC
  days: [sat, sun]
  pot: {diameter: 30 cm, fill_share: 0.8}
owner:
  hours: {mon-fri: 18:00-21:00, sat: 09:00-17:00}
  holidays: [2026-07-01 to 2026-07-14, 2026-12-24]
  start: 2026-01-05
mix: {lead_share: 0.7, steel_share: 0.3}
bucket: {triangular: {low: 40 kg, mode: 59 kg, high: 65 kg}}
season: {jan-jun: 1, jul-dec: 2}
moulds: {small: {diameter: 8 cm}}
costs:
  - {name: gloves, amount: 5 EUR}
  - {name: soap, amount: 2 EUR}
demand:
  - name: casters
    model: core.people
    settings: {people: 20, known: 12, pays: 2 EUR/kg}
weather:
  model: core.gusty
  settings: {least: 1, most: 4, rain: 2}
options:
  bigger pot:
    start_up_cost: 80 EUR
    changes: {melting.pot.diameter: 40 cm}
  twice as often: {changes: {melting.rounds: {times: 2}}}
  no casters: {changes: {demand: {remove: casters}}}
  lucky charm: {resale: 2 EUR}
outlooks:
  slump: {probability: 0.2, changes: {demand.casters.settings.pays: {times: 0.5}}}
  storms: {probability: 0.1, changes: {weather.settings.rain: 3}}
study: {seed: 7, replicates: 20, confidence: 0.9}
"""
MISTAKES = {
    "title: A test": "titel: A test",
    "currency: EUR": "currency: EURO",
    "melting:": "meltng:",
    "power: 9 kW": "power: 9 kg",
    "rounds: 4": "rouns: 4",
    "days: [sat, sun]": "days: [sat, sunday]",
    "diameter: 30 cm": "diameter: 30",
    "fill_share: 0.8": "fill_share: 80%",
    "mon-fri: 18:00-21:00": "mon-fry: 18:00-21:00",
    "sat: 09:00-17:00": "sat: 09:00-25:00",
    "2026-07-01 to 2026-07-14": "2026-07-14 to 2026-07-01",
    "start: 2026-01-05": "start: 2026-13-05",
    "steel_share: 0.3": "steel_share: 0.4",
    "low: 40 kg": "low: 70 kg",
    "jan-jun: 1": "jan-may: 1",
    "small: {diameter: 8 cm}": "sm.all: {diameter: 8 cm}",
    "{name: gloves, amount: 5 EUR}": "{name: gloves}",
    "name: soap": "name: gloves",
    "amount: 2 EUR": "amount: 2,5 EUR",
    "model: core.people": "model: core.peple",
    "people: 20": "people: 10",
    "pays: 2 EUR/kg": "pays: -2 EUR/kg",
    "settings: {least: 1": "setings: {least: 1",
    "least: 1, most: 4": "least: 5, most: 4",
    "rain: 2": "rains: 2",
    "start_up_cost: 80 EUR": "start_up_cost: 80",
    "diameter: 40 cm": "diametr: 40 cm",
    "{times: 2}": "{times: two}",
    "{remove: casters}": "{remove: castres}",
    "slump: {probability: 0.2": "slump: {probabilty: 0.2",
    "casters.settings.pays: {times: 0.5}": "caster.settings.pays: {times: 0.5}",
    "weather.settings.rain: 3": "weather.settings.rain: 3 mm",
    "storms: {probability: 0.1": "storms: {probability: 0.9",
    "seed: 7": "seed: &s 7",
    "replicates: 20": "replicates: *twenty",
    "confidence: 0.9}": "confidence: 0.9, confidence: 0.8}",
}
IN_THE_FILE_ABOVE = {
    "lucky charm: none": "luky charm: none",
    "rounds: 5": "rounds: -5",
    "bucket: 50 kg": "bukcet: 50 kg",
    "demand.casters.settings.eager: 2": "demand.casters.settings.eagre: 2",
    "start_up_cost: 5 EUR": "start_up_cost: 5",
}
ABOVE = """\
extends: below.yaml
melting: {rounds: 5}
bucket: 50 kg
options:
  lucky charm: none
  eager casters: {start_up_cost: 5 EUR, changes: {demand.casters.settings.eager: 2}}
"""
SOME = 4
"""One pair of mistakes in so many; ``make verify`` joins all."""
Told = frozenset[tuple[int, str]]


def with_mistakes(text: str, mistakes: dict[str, str], right: tuple[str, ...]) -> str:
    for one in right:
        assert text.count(one) == 1, one
        text = text.replace(one, mistakes[one])
    return text


def told_of(text: str, below: str = "") -> Told:
    """Line and words of what is told of a file, which may extend another."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "below.yaml").write_text(below, encoding="utf-8")
        try:
            load_text(Path(folder), text, head="")
        except InputError as error:
            return frozenset((one.line, one.message.partition(" (taken over")[0]) for one in error.problems)
    return frozenset()


@cache
def told(*right: str) -> Told:
    """What is told where these mistakes are made."""
    return told_of(with_mistakes(TEXT, MISTAKES, right))


def test_nothing_is_wrong_with_it_before() -> None:
    assert told() == frozenset()


@pytest.mark.parametrize("right", MISTAKES)
def test_one_mistake_is_told_once(right: str) -> None:
    assert len(told(right)) == 1


EACH = pytest.mark.parametrize("each", [SOME, pytest.param(1, marks=pytest.mark.long)])


@EACH
def test_no_mistake_hides_another(each: int) -> None:
    pairs = [
        (one, other) for (i, one), (j, other) in combinations(enumerate(MISTAKES), 2) if (i + j) % each == 0
    ]
    differences = {(one, other): (told(one) | told(other)) ^ told(one, other) for one, other in pairs}
    assert {pair: found for pair, found in differences.items() if found} == {}


@EACH
def test_no_mistake_hides_one_in_the_file_that_is_extended(each: int) -> None:
    unlike = {}
    broken = {below: with_mistakes(TEXT, MISTAKES, (below,)) for below in MISTAKES}
    told_below = {below: told_of(ABOVE, text) for below, text in broken.items()}
    for i, above in enumerate(IN_THE_FILE_ABOVE):
        text = with_mistakes(ABOVE, IN_THE_FILE_ABOVE, (above,))
        alone = told_of(text, TEXT)
        assert len(alone) == 1
        for below in list(MISTAKES)[i % each :: each]:
            if found := (alone | told_below[below]) ^ told_of(text, broken[below]):
                unlike[above, below] = found
    assert unlike == {}
