"""What follows from answers on the spot: the figures of ``planner check``, for the business as it is so far.

In: ``Answers``. Out: ``Look``: a ``Check``, the burner's efficiency that agrees with the hours a bucket takes, and what
is to be said. Must not know: who asks.

The scenario is written into a folder of its own for it and read as any other, so that what is said while asking is what
``planner check`` will say.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan
from pathlib import Path
from typing import Final, NamedTuple

from scipy.optimize import bisect

from planner.asking.answers import Answers
from planner.asking.draft import scenario_text
from planner.asking.question import Figure
from planner.report.phrases import counted, reader_of
from planner.report.terminal import refusal
from planner.report.units import Reader, number
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY
from planner.study import Check, check, load
from planner.study.looking import looked
from planner.workshop.bucket import BucketHours, bucket_hours, typical_bucket
from planner.workshop.premises import Tables, premises
from planner.world.parts import Pricing, World

LEAST_SHARE: Final = 0.1
MOST_SHARE: Final = 0.75
"""Efficiencies that hours at the stove may be reckoned to (assumed; published for boiling water: 0.32 to 0.58)."""
NEAR_SHARE: Final = 2.5e-4
"""So near the efficiency that gives these hours is looked for."""
PUBLISHED: Final = (0.32, 0.58)
CLOSE_ENOUGH: Final = 0.02
"""Hours reckoned over hours told, off 1."""
_LIMITS: Final[dict[str, Figure]] = {
    "lifting": "lift",
    "payload": "payload",
    "place": "stove",
    "stand": "stove",
}


class Matched(NamedTuple):
    """The efficiency that gives a bucket's hours; the nearest where none does."""

    share: float
    hours_h: float
    """What a bucket then takes in ordinary weather [h]; nan if it never melts."""
    wanted_h: float

    @property
    def agrees(self) -> bool:
        """Are these the hours that were told?"""
        return abs(self.hours_h / self.wanted_h - 1.0) <= CLOSE_ENOUGH


class Said(NamedTuple):
    """A sentence, and whether something is wrong."""

    words: str
    wrong: bool = False


@dataclass(frozen=True, slots=True)
class Look:
    """What follows from the answers so far."""

    found: Check
    matched: Matched | None
    reader: Reader

    def said(self, figures: tuple[Figure, ...]) -> Iterator[Said]:
        """What to say of these figures."""
        for figure in figures:
            yield from {"lift": self._lift, "payload": self._payload, "hours": self._hours, "stove": self._stove,
                        "money": self._money}[figure]()  # fmt: skip
            yield from self._broken(figure)

    @property
    def in_short(self) -> str:
        """Everything that is known, in one line."""
        parts = [f"lift {number(row.portion_index, 1)}" for row in self.found.lifts if row.in_use]
        parts.append(f"{counted(self.found.payload.buckets, 'bucket')} a trip")
        parts += [
            f"{number(row.stove_h, 1)} h a bucket" for row in self.found.hours if row.weather == "ordinary"
        ]
        parts += [
            f"{self.reader.money(row.income - row.cost)} a bucket, {number(row.per_hour, 1)} an hour"
            for row in self.found.money[:1]
            if not isnan(row.per_hour)
        ]
        return " | ".join(parts)

    def _broken(self, figure: Figure) -> Iterator[Said]:
        for name, broken in self.found.refusals:
            if name == AS_TODAY:
                for one in broken:
                    if _LIMITS.get(one.limit) == figure:
                        yield Said(f"Refused as it is: {refusal(one)}", True)

    def _lift(self) -> Iterator[Said]:
        row = next(row for row in self.found.lifts if row.in_use)
        mass = f"{self.reader.mass(self.found.portion_kg)} {self.reader.mass_unit}"
        yield Said(
            f"{mass} at once ({row.method}): lifting index {number(row.portion_index, 1)}, {row.verdict} (above 1 the "
            "back is at risk, above 3 it is refused)",
            row.verdict == "refused",
        )
        if row.verdict == "refused":
            better = [one.method for one in self.found.lifts if one.full_index <= 3.0 and not one.in_use]
            half = ["half a bucket"] if row.half_index <= 3.0 else []
            yield Said(f"What would do: {', '.join([*half, *better]) or 'less at once'}")

    def _payload(self) -> Iterator[Said]:
        load = self.found.payload
        mass = f"{self.reader.mass(load.load_kg)} {self.reader.mass_unit}"
        yield Said(
            f"Beside you it carries {mass}: {counted(load.buckets, 'full bucket')} a trip", load.buckets == 0
        )

    def _hours(self) -> Iterator[Said]:
        had = self.found.prospects
        yield Said(
            f"{number(had.free_hours_a_week, 1)} free hours a week; in {number(had.melting_hours_a_week, 1)} of them "
            "day, daylight and weather allow to melt"
        )
        for words in had.missing:
            if "hours" in words:
                yield Said(f"Mind: {words}", True)

    def _stove(self) -> Iterator[Said]:
        by_weather = {row.weather: row for row in self.found.hours}
        if "ordinary" not in by_weather:
            return
        plain, still, windy = (by_weather[name] for name in ("ordinary", "still and warm", "windy and cold"))
        if not any(row.melts for row in by_weather.values()):
            yield Said("The burner is too weak for the pot: a bucket never melts, in no weather", True)
            return
        fuel = f"{self.reader.mass(plain.fuel_kg, 2)} {self.reader.mass_unit}"
        yield Said(
            f"A bucket takes {_stove_hours(plain)} at the stove in ordinary weather, {_stove_hours(still)} when it is "
            f"still and warm, {_stove_hours(windy)} when windy and cold"
            + (f"; {fuel} of propane" if plain.melts else "")
        )
        yield from self._matching()

    def _matching(self) -> Iterator[Said]:
        if self.matched is None:
            return
        share, hours, wanted = self.matched
        if not self.matched.agrees:
            if isnan(hours):
                reckoned = "it would never melt"
            elif share >= MOST_SHARE:
                reckoned = f"it would take at least {number(hours, 1)} h"
            else:
                reckoned = f"it takes {number(hours, 1)} h at most, or never melts"
            yield Said(
                f"{number(wanted, 1)} h do not go with this burner, pot and moulds: {reckoned}. Look at the "
                "burner's plate, the pot's size and the number of moulds; the nearest is taken",
                True,
            )
        elif not PUBLISHED[0] <= share <= PUBLISHED[1]:
            yield Said(
                f"For that, {100 * share:.0f} % of the flame's heat gets into the pot in still air; "
                f"{100 * PUBLISHED[0]:.0f} to {100 * PUBLISHED[1]:.0f} % are published: is the burner's power right?",
                True,
            )

    def _money(self) -> Iterator[Said]:
        for row in self.found.money:
            if isnan(row.per_hour):
                continue
            left, to = row.income - row.cost, row.channel.replace("yard", "the yard")
            yield Said(
                f"A bucket sold to {to}: {self.reader.money(left, 2)} left, {number(row.hours_h, 1)} h, "
                f"{self.reader.money(row.per_hour, 2)} an hour",
                left <= 0.0,
            )


def _stove_hours(row: BucketHours) -> str:
    return f"{number(row.stove_h, 1)} h" if row.melts else "for ever"


def looked_at(answers: Answers) -> Look:
    """Look at a business as it is so far.

    Raises
    ------
    planner.scenario.InputError
        The answers make no scenario.
    """
    with tempfile.TemporaryDirectory(prefix="planner-new-") as folder:
        place = Path(folder) / "looked-at.yaml"
        _beside(answers, place)
        matched = _matched(answers, place)
        place.write_text(scenario_text(answers, matched and matched.share, bare=True), encoding="utf-8")
        found = check(load(place))
    return Look(found, matched, reader_of(found.subject))


def finished(answers: Answers) -> tuple[str, Scenario]:
    """The whole text of the scenario, and what it was read as, with every option and outlook.

    Raises
    ------
    planner.scenario.InputError
        The answers make no scenario.
    """
    with tempfile.TemporaryDirectory(prefix="planner-new-") as folder:
        place = Path(folder) / "looked-at.yaml"
        _beside(answers, place)
        matched = _matched(answers, place)
        text = scenario_text(answers, matched and matched.share)
        place.write_text(text, encoding="utf-8")
        return text, load(place)


def _beside(answers: Answers, place: Path) -> None:
    """Put the file of weather where the scenario finds it."""
    name, path = answers.written("weather_file"), answers.told.weather_file
    if path is not None and path.is_relative_to(answers.folder.resolve()):
        copy = place.parent / str(name)
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, copy)


def _matched(answers: Answers, place: Path) -> Matched | None:
    wanted_h = answers.told.bucket_hours_h
    if wanted_h is None:
        return None
    place.write_text(scenario_text(answers, bare=True), encoding="utf-8")
    found: Matched = looked(load(place), AS_TODAY, _Matching(wanted_h))
    return found


@dataclass(frozen=True)
class _Matching:
    """Looks for the efficiency with which a bucket takes so many hours in ordinary weather."""

    wanted_h: float

    def __call__(self, scenario: Scenario, option: str, world: World, pricing: Pricing) -> Matched:
        del pricing
        business = scenario.business(option)

        def hours(share: float) -> float:
            """What a bucket takes [h]; longer than anything where it never melts."""
            found = self._hours(business, world, share)
            return float("inf") if isnan(found) else found

        if hours(MOST_SHARE) >= self.wanted_h:
            share = MOST_SHARE
        elif hours(LEAST_SHARE) <= self.wanted_h:
            share = LEAST_SHARE
        else:  # below it hours may be without bound, so a little above is taken
            found = bisect(
                lambda share: hours(share) - self.wanted_h, LEAST_SHARE, MOST_SHARE, xtol=NEAR_SHARE
            )
            share = round(found + NEAR_SHARE, 3)
        return Matched(share, self._hours(business, world, share), self.wanted_h)

    def _hours(self, business: Business, world: World, share: float) -> float:
        bucket = typical_bucket(business, world)
        if bucket is None:
            return float("nan")
        burner = business.melting.burner.model_copy(update={"efficiency_share": share})
        tried = business.model_copy(
            update={"melting": business.melting.model_copy(update={"burner": burner})}
        )
        rows = bucket_hours(tried, premises(tried), Tables(), bucket, world)
        return next(row.stove_h for row in rows if row.weather == "ordinary")
