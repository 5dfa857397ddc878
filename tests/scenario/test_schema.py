from __future__ import annotations

from typing import Any

import pytest
from jsonschema import Draft202012Validator

from planner.scenario.compose import compose
from planner.scenario.schema import scenario_schema
from tests.scenario.stand_in import HEAD, MELTING, Registry, Small
from tests.scenario.test_loading import TEXT


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    made = scenario_schema(Registry(), Small)
    Draft202012Validator.check_schema(made)
    return made


def wrong(schema: dict[str, Any], text: str) -> list[str]:
    value = compose(HEAD + MELTING + text, "x.yaml").value
    found = Draft202012Validator(schema).iter_errors(value)
    return sorted(".".join(map(str, error.absolute_path)) for error in found)


@pytest.mark.parametrize(
    "text",
    [
        TEXT,
        "extends: base.yaml\n",
        "owner: {hours: {mon-fri: 18:00-21:00, sat: none}, holidays: [2026-07-01 to 2026-07-14]}\n",
        "owner: {hours: [18:00-21:00, 06:00-08:00]}\n",
        "bucket: {choice: {values: [50 kg, 60 kg], weights: [1, 2]}}\n",
        "season: {jan-jun: 1, jul-dec: 2}\nmoulds: {long ones: {diameter: 8 cm}}\n",
    ],
)
def test_what_the_loader_takes_the_schema_takes(schema: dict[str, Any], text: str) -> None:
    assert wrong(schema, text) == []


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("melting_: 5\n", ""),
        ("bucket: 60\n", "bucket"),
        ("bucket: {gauss: {mean: 60 kg, sd: 5 kg}}\n", "bucket"),
        ("mix: {lead_share: 1.5}\n", "mix.lead_share"),
        ("mix: {led: 1}\n", "mix"),
        ("owner: {hours: {satt: none}}\n", "owner.hours"),
        ("weather: {model: core.storm}\n", "weather"),
        ("demand: [{model: core.people, settings: {peeple: 5}}]\n", "demand.0"),
        ("options: {a: {cost: 5 EUR}}\n", "options.a"),
        ("options: {a: nothing}\n", "options.a"),
    ],
)
def test_what_the_schema_refuses_stands_where_it_is_wrong(
    schema: dict[str, Any], text: str, place: str
) -> None:
    assert wrong(schema, text) == [place]


def test_defaults_and_descriptions_are_those_a_file_would_hold(schema: dict[str, Any]) -> None:
    pot = schema["$defs"]["Pot"]["properties"]
    assert pot["diameter"]["default"] == "25 cm"
    assert pot["diameter"]["description"] == "Inside diameter."
    assert pot["place"]["enum"] == ["open air", "roof"]
    assert schema["properties"]["bucket"]["default"] == "60 kg"
    assert schema["properties"]["melting"]["$ref"] == "#/$defs/Melting"


def test_an_option_may_be_left_out_by_none(schema: dict[str, Any]) -> None:
    assert wrong(schema, "options: {a: none, b: {resale: 5 EUR}}\noutlooks: none\n") == []


def test_each_model_brings_its_own_settings(schema: dict[str, Any]) -> None:
    models = schema["properties"]["demand"]["items"]["oneOf"]
    assert [
        (model["properties"]["model"]["const"], model["properties"]["settings"]["$ref"]) for model in models
    ] == [
        ("core.nobody", "#/$defs/Still"),
        ("core.people", "#/$defs/People"),
    ]
