"""Where each value of a business comes from: the owner's records, the owner's word, a guess, a default.

In: a loaded scenario. Out: ``Origins``: how many of each, and a line for each of those that matter. Must not know: how
it is shown, what is played.

A value is what a field holds: a number, a spread, a table of hours. It is told by records where an estimate names it
that records told; a guess where an estimate names it that none told; the owner's word where the file writes it, or one
that it extends; and else a default of the program.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, Final, Literal

from pydantic.fields import FieldInfo

from planner.scenario.axis import matching
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.outline import fields_of, section_in
from planner.scenario.section import Choice, Section
from planner.scenario.tree import Steps, Tree, dotted

if TYPE_CHECKING:
    from planner.scenario.estimates import Drawn
    from planner.scenario.loading import Scenario

Source = Literal["own records", "your word", "guess", "default"]
SOURCES: Final[tuple[Source, ...]] = ("own records", "your word", "guess", "default")
MAIN: Final = (
    "owner.hour_price",
    "owner.hours",
    "vehicle.payload",
    "lifting.portion",
    "melting.burner.power",
    "melting.burner.efficiency_share",
    "melting.wind_at_pot_share",
    "melting.pot.diameter",
    "melting.moulds.count",
    "melting.fuel_price",
    "fetching.every",
    "supply.*.settings.bucket",
    "demand.*.settings.people",
    "demand.*.settings.known",
    "demand.*.settings.gap",
    "demand.*.settings.size",
    "demand.*.settings.most.*",
    "rates.settings.weights",
    "rates.settings.lead",
    "pricing.settings.private.*",
    "cash.opening",
)
"""Values that matter in nearly every business, beside those with ranges and estimates."""
_NAMES: Final = frozenset({"name", "model"})
"""What says which entry or model it is, and is no value."""


@dataclass(frozen=True, slots=True)
class Origin:
    """One value.

    Parameters
    ----------
    path : str
        As for ``--set``.
    value : str
        As a file would hold it, on one line; empty where nothing is set.
    source : str
        Where it comes from.
    told : str
        By what: the estimate and how many records, the file and line, or what the program says of its default.
    """

    path: str
    value: str
    source: Source
    told: str


@dataclass(frozen=True, slots=True)
class Origins:
    """All values.

    Parameters
    ----------
    counts : tuple of int
        How many there are of each of ``SOURCES``.
    assumed : int
        Defaults that are assumed or common practice, without a published source.
    main : tuple of Origin
        Those that matter, in the order of the business.
    """

    counts: tuple[int, ...]
    assumed: int
    main: tuple[Origin, ...]

    @property
    def by_source(self) -> Mapping[Source, int]:
        """How many there are of each."""
        return dict(zip(SOURCES, self.counts, strict=True))


@dataclass(frozen=True, slots=True)
class _Value:
    """A value, where it stands, and its field."""

    steps: Steps
    path: str
    written: Any
    field: FieldInfo


def origins_of(scenario: Scenario) -> Origins:
    """Tell where each value of the business comes from, as the scenario's file says it."""
    variants = scenario.variants
    business, source = scenario.business(), variants.tree
    written = variants.written(AS_TODAY, EXPECTED)
    values = list(_values(type(business), business, written, (), written))
    found = [_origin(one, scenario, source) for one in values]
    wanted = {path for axis in scenario.ranges.values() for path in (lever.path for lever in axis.levers)}
    wanted |= {path for one in scenario.estimates.drawn for path in one.paths}
    wanted |= {path for one in MAIN for path, _ in matching(one, written)}
    main = [one for one in found if any(_at_or_around(path, one.path) for path in wanted)]
    sources = [one.source for one in found]
    return Origins(
        tuple(sources.count(one) for one in SOURCES),
        sum(one.source == "default" and one.told != "" for one in found),
        tuple(main),
    )


def _values(model: type[Section], here: Any, written: Any, above: Steps, whole: Any) -> Iterator[_Value]:
    """Every value of a section, as deep as there are sections."""
    for key, field in fields_of(model).items():
        if key in _NAMES and above:
            continue
        part = getattr(here, next(name for name, one in type(here).model_fields.items() if one is field))
        steps, held = (*above, key), written.get(key) if isinstance(written, dict) else None
        shape, section = section_in(field.annotation)
        if section is None and not isinstance(part, Section):
            yield _Value(steps, dotted(steps, whole), held, field)
        elif shape == "one":
            if part is not None:
                yield from _below(part, held, steps, whole)
        else:
            entries = part.items() if isinstance(part, Mapping) else enumerate(part)
            for step, entry in entries:
                inner = held[step] if held is not None else None
                yield from _below(entry, inner, (*steps, step), whole)


def _below(part: Any, written: Any, steps: Steps, whole: Any) -> Iterator[_Value]:
    if isinstance(part, Choice):
        if isinstance(part.settings, Section):
            yield from _values(
                type(part.settings), part.settings, written["settings"], (*steps, "settings"), whole
            )
    else:
        yield from _values(type(part), part, written, steps, whole)


def _origin(one: _Value, scenario: Scenario, source: Tree) -> Origin:
    from planner.scenario.fields import flow

    drawn = _estimate(one.path, scenario)
    value = "" if one.written is None else flow(one.written)
    if drawn is not None:
        if drawn.records:
            told = f"{drawn.name}: {drawn.records} records{drawn.method and f', {drawn.method}'}"
            return Origin(one.path, value, "own records", told)
        return Origin(one.path, value, "guess", f"{drawn.name}: no records")
    if one.steps in source.values and _stands(source.value, one.steps):
        place = source.place(one.steps)
        where = f"{PurePath(place.file).name}:{place.line}"
        return Origin(one.path, value, "your word", where)
    return Origin(one.path, value, "default", _mark(one.field))


def _stands(value: Any, steps: Steps) -> bool:
    """Does the file say it?"""
    for step in steps:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return False
    return value is not None


def _estimate(path: str, scenario: Scenario) -> Drawn | None:
    """The estimate that moves a value, or a part of it."""
    for one in scenario.estimates.drawn:
        if any(_at_or_around(moved, path) for moved in one.paths):
            return one
    return None


def _at_or_around(inner: str, outer: str) -> bool:
    """Is one of the two paths the other, or a part of what stands there?"""
    return f"{inner}.".startswith(f"{outer}.") or f"{outer}.".startswith(f"{inner}.")


def _mark(field: FieldInfo) -> str:
    """What the program says of its default."""
    said = field.description or ""
    if "common practice" in said:
        return "common practice"
    return "assumed" if "assumed" in said else ""
