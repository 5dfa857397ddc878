"""A small made-up business and registry, so that these tests depend on no real field. All numbers invented."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Literal

from pydantic import Field, model_validator

from planner.scenario import Choice, DataFile, Scenario, Section, UnknownModel, load
from planner.scenario.clock import Day, DayRanges, MonthNumbers, WeekdayWindows
from planner.scenario.part import PartError
from planner.scenario.section import Named, across
from planner.scenario.spread import Spread, SpreadMassKg, SpreadMoneyPerKg, SpreadShare
from planner.scenario.units import Count, DurationDays, LengthCm, Money, Number, PowerW, Share, TemperatureC
from planner.scenario.wording import close


class Pot(Section):
    """A pot."""

    diameter_cm: LengthCm = Field(25.0, gt=0, le=120, description="Inside diameter.")
    fill_share: Share = Field(0.85, description="How full.")
    place: Literal["open air", "roof"] = Field("open air", description="Where it stands.")


class Melting(Section):
    """Melting."""

    power_w: PowerW = Field(..., gt=0, description="Full power.")
    on: bool = Field(True, description="Melt at all?")
    rounds: Count = Field(3, ge=1, description="Rounds a day.")
    gain: float = Field(1.25, ge=1, le=2, description="Gain of a skirt.")
    coldest_c: TemperatureC = Field(-10.0, description="Nobody lights up below this.")
    dry_days: DurationDays = Field(5.0, ge=0, description="Drying.")
    days: tuple[Literal["fri", "sat", "sun"], ...] = Field(("sat", "sun"), min_length=1, description="Days.")
    pot: Pot = Field(
        default_factory=lambda: Pot.model_validate({"diameter": "30 cm"}), description="The pot."
    )
    spare: Pot | None = Field(None, description="Another pot.")


class Owner(Section):
    """The owner."""

    hours: WeekdayWindows = Field(((),) * 7, description="Free hours.")
    holidays: DayRanges = Field((), description="Days off.")
    start: Day | None = Field(None, description="First day.")


class Cost(Section):
    """A cost."""

    name: str = Field(..., min_length=1, max_length=20, description="What for.")
    amount: Money = Field(..., ge=0, description="How much.")


class Mix(Section):
    """What is in a bucket."""

    lead_share: Share = Field(0.6, description="Lead.")
    steel_share: Share = Field(0.4, description="Steel.")

    @across("lead_share", "steel_share")
    def _sums(self) -> None:
        total = self.lead_share + self.steel_share
        if abs(total - 1) > 1e-9:
            raise ValueError(f"the shares add up to {total:g}; they must add up to 1")


class Small(Section):
    """A business small enough for tests."""

    melting: Melting = Field(..., description="How it melts.")
    owner: Owner = Field(default_factory=lambda: Owner.model_validate({}), description="The owner's time.")
    mix: Mix = Field(default_factory=lambda: Mix.model_validate({}), description="What is in a bucket.")
    bucket_kg: SpreadMassKg = Field(Spread.constant(60.0), description="Mass of a bucket.")
    season: MonthNumbers = Field((1.0,) * 12, description="Season.")
    moulds: Named[Pot] = Field(default_factory=dict, description="Moulds by name.")
    costs: tuple[Cost, ...] = Field((), description="Costs.")
    supply: tuple[Choice, ...] = Field((), description="Where weights come from.")
    demand: tuple[Choice, ...] = Field((), description="Who buys.")
    weather: Choice = Field(default_factory=lambda: Choice(model="core.still"), description="Weather.")


class People(Section):
    """Settings of a class of buyers."""

    people: Count = Field(..., description="How many.")
    pays_per_kg: SpreadMoneyPerKg = Field(Spread.constant(2.0), description="The most they would pay.")
    returns_share: SpreadShare = Field(Spread.constant(0.5), description="Who returns.")
    known: Count = Field(0, description="How many know of the business.")
    eager: Number = Field(1.0, gt=0, description="Eagerness.")

    @across("known", "people")
    def _known_are_people(self) -> None:
        if self.known > self.people:
            raise PartError(f"{self.known} of {self.people} people are known", ["known"])


class Still(Section):
    """Settings of a weather in which nothing stirs."""

    file: DataFile | None = Field(None, description="A file.")
    wind: Number = Field(0.0, ge=0, description="Wind.")


class Gusts(Section):
    """Settings of a weather whose author checks them in the way that the checking library offers."""

    least: Number = Field(0.0, ge=0, description="Wind at least.")
    most: Number = Field(5.0, ge=0, description="Wind at most.")
    rain: Number = Field(0.0, ge=0, description="Rain.")

    @model_validator(mode="after")
    def _in_order(self) -> Gusts:
        if self.least > self.most:
            raise ValueError("at least is more than at most")
        return self


MODELS: dict[str, dict[str, type[Section]]] = {
    "supply": {"core.shops": People},
    "demand": {"core.people": People, "core.nobody": Still},
    "weather": {"core.still": Still, "core.windy": Still, "core.gusty": Gusts},
    "rates": {},
    "pricing": {},
}


class Registry:
    """Knows the models above."""

    def settings_class(self, kind: str, model: str) -> type[Section]:
        if model not in MODELS[kind]:
            words = f"there is no {kind} model '{model}'; there are {', '.join(MODELS[kind])}"
            raise UnknownModel(words, close(model, MODELS[kind]))
        return MODELS[kind][model]

    def model_names(self, kind: str) -> Iterable[str]:
        return MODELS[kind]


HEAD = "title: A test\ncurrency: EUR\n"
MELTING = "melting: {power: 9 kW}\n"


def load_text(folder: Path, text: str, head: str = HEAD + MELTING, name: str = "test.yaml") -> Scenario:
    """Load a scenario of this text, below a head that makes it complete."""
    path = folder / name
    path.write_text(head + text, encoding="utf-8")
    return load(path, Registry(), business_class=Small)
