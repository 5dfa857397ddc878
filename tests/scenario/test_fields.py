from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import ValidationError

from planner.scenario.business import Business
from planner.scenario.compose import compose
from planner.scenario.fields import fields_markdown, flow
from planner.scenario.header import Header
from planner.scenario.outline import default_of, example_value, fields_of, section_in, written_default
from planner.scenario.section import Choice, Section
from tests.scenario.stand_in import Registry, Small


def sections(model: type[Section]) -> Iterator[type[Section]]:
    yield model
    for field in fields_of(model).values():
        _, inner = section_in(field.annotation)
        if inner is not None and inner is not model:
            yield from sections(inner)


EVERY = list(dict.fromkeys([*sections(Header), *sections(Business), *sections(Small)]))


@pytest.mark.parametrize("model", EVERY, ids=lambda model: model.__name__)
def test_every_field_says_what_it_means(model: type[Section]) -> None:
    assert (model.__doc__ or "").strip()
    assert [key for key, field in fields_of(model).items() if not (field.description or "").strip()] == []


def read(text: str) -> Any:
    return compose(f"key: {text}\n", "example").value["key"]


def wrong_fields(model: type[Section], values: dict[str, Any]) -> list[str]:
    """Fields that are wrong by themselves, rules between fields apart."""
    try:
        model.model_validate(values, context={"currency": "EUR"})
    except ValidationError as error:
        return [str(detail["loc"]) for detail in error.errors() if detail["loc"]]
    return []


def examples_of(model: type[Section]) -> dict[str, Any]:
    needed = {key: field for key, field in fields_of(model).items() if field.is_required()}
    texts = {key: example_value(field, "EUR") for key, field in needed.items()}
    return {key: read(text) for key, text in texts.items() if "..." not in text}


@pytest.mark.parametrize("model", EVERY, ids=lambda model: model.__name__)
def test_the_example_line_of_a_missing_key_is_itself_right(model: type[Section]) -> None:
    values = examples_of(model)
    assert [
        place for place in wrong_fields(model, values) if any(f"'{key}'" in place for key in values)
    ] == []


@pytest.mark.parametrize("model", EVERY, ids=lambda model: model.__name__)
def test_every_default_is_written_as_the_file_would_hold_it(model: type[Section]) -> None:
    optional = {key: field for key, field in fields_of(model).items() if not field.is_required()}
    written = {
        key: written_default(field) for key, field in optional.items() if default_of(field) is not None
    }
    places = wrong_fields(model, examples_of(model) | written)
    assert [place for place in places if any(f"'{key}'" in place for key in written)] == []


def test_what_a_default_is_written_as_means_the_same() -> None:
    for model in EVERY:
        values = examples_of(model)
        try:
            left_out = model.model_validate(values, context={"currency": "EUR"})
        except ValidationError:
            continue  # a part of it is not made up here
        written = {
            key: written_default(field)
            for key, field in fields_of(model).items()
            if default_of(field) is not None
        }
        same = model.model_validate({**written, **values}, context={"currency": "EUR"})
        assert same == left_out


def test_the_tables_name_every_field_with_default_range_and_meaning() -> None:
    text = fields_markdown(Registry(), Small)
    rows = text.splitlines()
    assert "| `melting.power` | a power | must be written | above 0 W | Full power. |" in rows
    assert (
        "| `melting.pot.diameter` | a length | `25 cm` | above 0 cm and at most 120 cm | Inside diameter. |"
        in rows
    )
    assert "| `melting.pot` | a block of keys | see below |  | The pot. |" in rows
    assert "| `bucket` | a mass, or a spread | `60 kg` | at least 0 kg | Mass of a bucket. |" in rows
    assert "| `season` | a plain number for each of jan to dec | `1` | at least 0 | Season. |" in rows
    assert (
        "| `costs.<name>.amount` | an amount of money | must be written | at least 0 EUR | How much. |"
        in rows
    )
    assert "| `melting.pot.place` | a word | `open air` | open air, roof | Where it stands. |" in rows
    assert "| `settings.people` | a whole number | must be written | at least 0 | How many. |" in rows


def test_every_section_and_model_has_its_heading() -> None:
    headings = [line for line in fields_markdown(Registry(), Small).splitlines() if line.startswith("#")]
    for heading in ("## `options.<name>`", "## `study`", "## `melting.pot`", "## `moulds.<name>`"):
        assert heading in headings
    assert "## `demand`: model `core.people`" in headings
    assert len(headings) == len(set(headings))


def test_the_tables_of_the_real_business_hold_every_key() -> None:
    class Nothing(Registry):
        def model_names(self, kind: str) -> list[str]:
            return []

    text = fields_markdown(Nothing())
    keys = [key for model in sections(Business) if model is not Choice for key in fields_of(model)]
    assert [key for key in keys if f"{key}` |" not in text] == []


@pytest.mark.parametrize(
    ("value", "text"),
    [({"a": [1.0, "5 kg"], "b": None, "c": ""}, "{a: [1, 5 kg], b: null}"), (True, "true"), (0.5, "0.5")],
)
def test_values_are_written_on_one_line(value: Any, text: str) -> None:
    assert flow(value) == text
