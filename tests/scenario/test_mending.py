"""What stands in for what is wrong, so that everything else can be checked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.plugin.registry import Registry
from planner.scenario.business import Business
from planner.scenario.complaints import Subject
from planner.scenario.doubt import Doubt, Places
from planner.scenario.header import Header
from planner.scenario.mending import read_section
from planner.scenario.outline import fields_of, section_in, shape_of
from planner.scenario.registry import MODEL_KINDS
from planner.scenario.section import KEYS_ALONE, Section
from planner.scenario.stand_in import block, stand_in
from planner.scenario.tree import Place, Tree
from tests.scenario.stand_in import Small


def sections(model: type[Section]) -> Iterator[type[Section]]:
    yield model
    for field in fields_of(model).values():
        _, inner = section_in(field.annotation)
        if inner is not None:
            yield from sections(inner)


def every_section() -> set[type[Section]]:
    registry = Registry()
    models = [
        registry.settings_class(kind, name) for kind in MODEL_KINDS for name in registry.model_names(kind)
    ]
    found = {inner for model in (Business, Header, Small, *models) for inner in sections(model)}
    return {section for section in found if not needs_a_file(section)}


def needs_a_file(section: type[Section]) -> bool:
    """Nothing stands in for a data file."""
    fields = fields_of(section).values()
    return any(field.is_required() and shape_of(field.annotation)[1] is Path for field in fields)


def test_a_block_of_stand_ins_reads_as_a_block_of_the_scenario() -> None:
    found = every_section()
    assert len(found) > 40
    for section in found:
        section.model_validate(block(section, "EUR"), context={"currency": "EUR", KEYS_ALONE: True})


def test_a_value_that_stands_in_is_within_the_bounds_of_its_field() -> None:
    for section in every_section():
        for key, field in fields_of(section).items():
            if section_in(field.annotation)[1] is None and shape_of(field.annotation)[1] not in (Path, str):
                values = {**block(section, "USD"), key: stand_in(field, "USD")}
                section.model_validate(values, context={"currency": "USD", KEYS_ALONE: True})


def read(value: dict[str, Any]) -> Any:
    return read_section(Subject(Tree(value, {}, {(): Place("a.yaml", 1, 1)}), (), Small), {})


@pytest.mark.parametrize(
    ("value", "stand_ins"),
    [
        ({"melting": {"power": "9 kg", "rounds": 0}}, {("melting", "power"), ("melting", "rounds")}),
        ({"melting": 5}, {("melting",)}),
        ({}, {("melting",)}),
        ({"melting": {"power": "9 kW"}, "costs": [{"name": "a"}, 5]}, {("costs", 0, "amount"), ("costs", 1)}),
        (
            {"melting": {"power": "9 kW"}, "bucket": {"normal": {"mean": 5, "sd": 6}}},
            {("bucket",)},
        ),
        ({"melting": {"power": "9 kW", "days": ["sat", "x", "y"]}}, {("melting", "days")}),
    ],
)
def test_something_stands_in_only_for_what_is_wrong(value: dict[str, Any], stand_ins: set[Any]) -> None:
    found = read(value)
    assert found.section is not None
    assert found.stand_ins == stand_ins


def test_what_is_right_stays_beside_what_is_mended() -> None:
    found = read({"melting": {"powr": "8 kW", "rounds": 0, "gain": 1.5}}).section
    assert (found.melting.power_w, found.melting.rounds, found.melting.gain) == (8000, 3, 1.5)


def test_a_word_that_may_be_another_is_not_taken_for_the_one_that_is_meant() -> None:
    found = read({"melting": {"power": "9 kW", "pots": 2}})
    assert [one.message for _, one in found.told] == ["the key 'pots' is not known here; did you mean pot?"]
    assert found.section.melting.pot.diameter_cm == 30


def test_what_hangs_on_something_wrong_is_in_doubt() -> None:
    doubt = Doubt(Places([("a", "b"), ("list", 1, "name")]))
    assert doubt.at(("a",))
    assert doubt.at(("a", "b", "c"))
    assert not doubt.at(("a", "c"))
    assert not doubt.over(("a",))
    assert doubt.names_in(("list",))
    assert doubt.at(("list", "*", "name"))
    assert not doubt.at(("list", "*", "price"))


def test_what_a_change_writes_anew_is_not_in_doubt_unless_it_is_wrong_itself() -> None:
    doubt = Doubt(Places([("a", "b")])).changed([("a", "b", "new")])
    assert doubt.at(("a", "b", "old"))
    assert not doubt.at(("a", "b", "new", "c"))
    assert doubt.also([("a", "b", "new", "c")]).at(("a", "b", "new", "c"))
