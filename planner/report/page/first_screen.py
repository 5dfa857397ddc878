"""What stands on the first screen: figures today and after, what holds back, where the kilograms go, what is refused.

In: a ``Study``. Out: small values of texts and widths for the page. Must not know: markup; it computes nothing new.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.report.charts.limit_colours import colour_of
from planner.report.charts.stacks import KILOGRAMS
from planner.report.phrases import reader_of
from planner.report.units import Reader, number
from planner.report.words import lost_words
from planner.study import Study
from planner.study.holding import held_back


@dataclass(frozen=True, slots=True)
class Beside:
    """One figure, today and after what is advised."""

    what: str
    after: str
    today: str
    aside: str


@dataclass(frozen=True, slots=True)
class Hold:
    """What holds back: one word with its colour, one number; and what buyers asked for in vain."""

    word: str
    colour: str
    number: str
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slice:
    """One part of a strip."""

    label: str
    colour: str
    percent: float
    mass: str


@dataclass(frozen=True, slots=True)
class Strip:
    """Where the kilograms of one option go."""

    option: str
    total: str
    slices: tuple[Slice, ...]


def told(study: Study) -> tuple[str, ...]:
    """The options that the first screen tells of: the base, and the one that is advised or ahead."""
    ahead = study.findings.best or study.findings.leader
    return tuple(dict.fromkeys(name for name in (study.subject.base, ahead) if name is not None))


def figures(study: Study) -> tuple[Beside, ...]:
    """Money, money an hour, hours a week: today and after."""
    reader, shown = reader_of(study.subject), told(study)
    after, today = shown[-1], shown[0]
    weeks = study.subject.weeks

    def level(name: str, measure: str) -> float:
        return study.seen(name).level(name, measure).mean

    def money(name: str) -> str:
        return reader.money(level(name, "profit"))

    def an_hour(name: str) -> str:
        return reader.money(level(name, "profit_per_hour"), 2)

    def hours(name: str) -> str:
        return number(level(name, "hours_h") / weeks, 1)

    def pot(name: str) -> str:
        return number(level(name, "melt_hours_h") / weeks, 1)

    priced = reader.money(level(after, "profit_after_hours"))
    return (
        Beside(
            f"Money {study.subject.period}",
            money(after),
            money(today),
            f"{priced} once your hours are priced",
        ),
        Beside(
            "Money an hour",
            an_hour(after),
            an_hour(today),
            "before your hours are priced" if level(after, "hours_h") else "no hour is worked",
        ),
        Beside(
            "Hours a week",
            hours(after),
            hours(today),
            f"{pot(after)} of them at the pot{f' (today {pot(today)})' if after != today else ''}",
        ),
    )


def holds(study: Study) -> tuple[Hold, ...]:
    """What holds back what is done today, and after, if that is something else; and what buyers asked for in vain."""
    period = study.subject.period
    found: list[Hold] = []
    for name in told(study):
        held = held_back(study, name)
        if held is not None and held.words not in {one.word for one in found}:
            hours = f"{number(held.hours)} free hours {period} unused for it {name}"
            lost = tuple(lost_words(study, name)) if not found else ()
            found.append(Hold(held.words, colour_of(held.words), hours, lost))
    return tuple(found)


def strips(study: Study) -> tuple[Strip, ...]:
    """Where the metal of these options goes, as shares of all that went somewhere; used-up stock is told apart."""
    reader = reader_of(study.subject)
    known = {one.name for one in study.measures}
    if not {part.measure for part in KILOGRAMS} <= known:
        return ()
    found = [_strip(study, reader, name) for name in told(study)]
    return tuple(strip for strip in found if strip.slices)


def _strip(study: Study, reader: Reader, option: str) -> Strip:
    masses = [(part, max(0.0, study.level(option, part.measure).mean)) for part in KILOGRAMS]
    total = sum(mass for _, mass in masses)
    slices = tuple(
        Slice(part.label, part.colour, 100.0 * mass / total, f"{reader.mass(mass, 0)} {reader.mass_unit}")
        for part, mass in masses
        if total > 0.0 and mass / total > 0.001
    )
    return Strip(option, f"{reader.mass(total, 0)} {reader.mass_unit} {study.subject.period}", slices)


def key_of(those: Sequence[Strip]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """The key of the strips: label, colour, and each strip's share in words."""
    for part in KILOGRAMS:
        found = [next((one for one in strip.slices if one.label == part.label), None) for strip in those]
        if any(found):
            yield part.label, part.colour, tuple(one.mass if one else "none" for one in found)


def used_up(study: Study) -> tuple[str, ...]:
    """What stock shrank by, where it did: that metal went somewhere too, and was not fetched."""
    reader = reader_of(study.subject)
    masses = [(name, -study.level(name, "put_by_kg").mean) for name in told(study)]
    return tuple(
        f"{name}: {reader.mass(kg, 0)} {reader.mass_unit} of it came from stock that was used up."
        for name, kg in masses
        if kg >= 0.5
    )
