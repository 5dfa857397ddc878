"""The closed block of keys that every part of a scenario is made of.

In: a mapping as the file holds it. Out: a frozen model whose attributes carry their units in their
names (`power_w`), written in the file without (`power: 9 kW`). Must not know any particular part.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Annotated, Any, TypeVar, get_args

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, GetCoreSchemaHandler, SerializeAsAny
from pydantic.fields import FieldInfo
from pydantic_core import core_schema

from planner.scenario.kinds import KINDS
from planner.scenario.spread import SpreadOf
from planner.scenario.units import Unit
from planner.scenario.wording import shown


def _never_guess(schema: Any) -> None:
    """Make bare numbers and yes/no values strict: `no`, `010` and `1e3` in quotes stay text."""
    if isinstance(schema, dict):
        if schema.get("type") in {"int", "float", "bool"}:
            schema["strict"] = True
        for part in schema.values():
            _never_guess(part)
    elif isinstance(schema, (list, tuple)):
        for part in schema:
            _never_guess(part)


def key_of(owner: str, attribute: str, field: FieldInfo) -> str:
    """The key in the file for an attribute: its name without the unit (`ask_per_kg` -> `ask`).

    Raises
    ------
    TypeError
        Where the name does not end in the unit of the field's type.
    """
    suffixes = sorted({end for unit in units_of(field) for end in KINDS[unit.symbol].suffixes}, key=len)
    for suffix in reversed(suffixes):
        if attribute == suffix:
            return attribute
        if attribute.endswith("_" + suffix):
            return attribute[: -len(suffix) - 1]
    if suffixes:
        endings = " or _".join(suffixes)
        raise TypeError(f"{owner}.{attribute}: the unit of its type asks for a name that ends in _{endings}")
    return attribute


def units_of(field: FieldInfo) -> set[Unit | SpreadOf]:
    """The unit markers anywhere in a field's type, but not those inside another section."""
    return {found for part in (*field.metadata, field.annotation) for found in _markers(part)}


def _markers(part: Any) -> Iterator[Unit | SpreadOf]:
    if isinstance(part, (Unit, SpreadOf)):
        yield part
    elif inner := getattr(part, "unit_inside", None):
        yield inner
    for inner in (*get_args(part), *getattr(part, "__metadata__", ())):
        yield from _markers(inner)


class Section(BaseModel):
    """A block of keys: no others allowed, values frozen, numbers never guessed from text."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        defer_build=True,
        validate_by_alias=True,
        validate_by_name=False,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        protected_namespaces=(),
    )

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        schema = handler(source)
        _never_guess(schema)
        return schema

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        super().__pydantic_init_subclass__(**kwargs)
        if not cls.__pydantic_fields_complete__:
            raise TypeError(f"{cls.__name__}: a type it uses is not known yet; define that type before it")
        for name, field in cls.model_fields.items():
            key = key_of(cls.__name__, name, field)
            if field.alias is None:
                field.alias = field.validation_alias = field.serialization_alias = key
            if any(isinstance(unit, SpreadOf) for unit in units_of(field)):
                field.validate_default = True  # so that a default spread has its field's bounds too
        keys = Counter(field.alias or name for name, field in cls.model_fields.items())
        if doubled := [key for key, times in keys.items() if times > 1]:
            raise TypeError(
                f"{cls.__name__}: two attributes are written as '{doubled[0]}'; give one an alias"
            )


_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f\u202a-\u202e\u2066-\u2069]")
_LONGEST_NAME = 60


def checked_name(name: str) -> str:
    """A name that the user gave, refused where it could not be found again in a change."""
    if not name.strip() or len(name) > _LONGEST_NAME or _UNPRINTABLE.search(name) or "." in name:
        raise ValueError(
            f"'{shown(name)}' cannot be a name; a name has 1 to {_LONGEST_NAME} characters and no dot in it"
        )
    return name


Name = Annotated[str, AfterValidator(checked_name)]
"""A name the user gives; spaces are allowed, a dot is not (it divides the steps of a change)."""

Entry = TypeVar("Entry")
Named = dict[Name, Entry]
"""A map from the user's own names to entries: `Named[Mould]`."""


class Choice(Section):
    """A model chosen by name, with its settings."""

    name: Annotated[str, AfterValidator(lambda name: name and checked_name(name))] = ""
    """What the scenario calls this entry; changes find it by this name."""
    model: str = Field(examples=["core.fixed"])
    """Which model, by its package and name."""
    settings: SerializeAsAny[Any] = Field(default_factory=dict)
    """The model's own settings; a mapping until the model is known, then its `Section`."""
