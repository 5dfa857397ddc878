"""The closed block of keys that every part of a scenario is made of.

In: a mapping as the file holds it. Out: a frozen model whose attributes carry their units in their
names (`power_w`), written in the file without (`power: 9 kW`). Must not know any particular part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from inspect import isfunction
from typing import Annotated, Any, ClassVar, Final, NamedTuple, Self, TypeVar, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    SerializeAsAny,
    ValidationInfo,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import core_schema

from planner.scenario.kinds import KINDS
from planner.scenario.part import PartError, parts_of, raise_all
from planner.scenario.spread import SpreadOf
from planner.scenario.units import Unit
from planner.scenario.unseen import CONTROLS
from planner.scenario.wording import shown

KEYS_ALONE: Final = "keys alone"
"""In the context of a validation: read each key by itself; whether keys agree is asked afterwards."""
_LOOKS_AT: Final = "looks_at"
LooksAt = tuple[tuple[str, ...], ...]
Check = TypeVar("Check", bound=Callable[[Any], None])


def across(*keys: str) -> Callable[[Check], Check]:
    """Mark a method of a section that raises where some of its keys do not agree.

    Parameters
    ----------
    *keys : str
        The keys that it looks at: the check waits until they can be read, and for no other. `pot.height` is a key of a
        block below, `rows.*.date` one of each entry of a list.
    """

    def mark(check: Check) -> Check:
        check.__dict__[_LOOKS_AT] = tuple(tuple(key.split(".")) for key in keys)
        return check

    return mark


class Disagreement(NamedTuple):
    """What a check across keys finds wrong: the name of its method, the keys that it looks at, and the error."""

    check: str
    looks_at: LooksAt
    error: PartError


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

    SUM_TO_ONE: ClassVar[tuple[str, ...]] = ()
    """Keys whose values are shares of one whole."""
    _checks: ClassVar[dict[str, LooksAt]] = {}

    def disagreements(self) -> Iterator[Disagreement]:
        """What the checks across keys find wrong."""
        for name, looks_at in self._checks.items():
            try:
                getattr(self, name)()
            except ValueError as error:
                yield from (Disagreement(name, looks_at, part) for part in parts_of(error))

    @model_validator(mode="after")
    def _keys_agree(self, info: ValidationInfo) -> Self:
        alone = isinstance(info.context, Mapping) and info.context.get(KEYS_ALONE)
        raise_all([] if alone else [one.error for one in self.disagreements()])
        return self

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
        cls._checks = {
            name: check.__dict__[_LOOKS_AT]
            for of in reversed(cls.__mro__)
            for name, check in vars(of).items()
            if isfunction(check) and _LOOKS_AT in check.__dict__
        }
        for name, looks_at in cls._checks.items():
            if lost := [steps[0] for steps in looks_at if steps[0] not in keys]:
                raise TypeError(f"{cls.__name__}.{name}: there is no key '{lost[0]}' for it to look at")


_LONGEST_NAME = 60


def checked_name(name: str) -> str:
    """A name that the user gave, refused where it could not be found again in a change."""
    if CONTROLS.search(name):
        raise ValueError(f"'{shown(name)}' cannot be a name; a name has no line break and no tab in it")
    if not name.strip() or len(name) > _LONGEST_NAME or "." in name:
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
