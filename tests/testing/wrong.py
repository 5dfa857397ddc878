"""Small models that are wrong in one way each, and sound ones to make them from."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.random import default_rng
from pydantic import ConfigDict, Field

from planner.plugin.protocol import Provider
from planner.scenario.section import Section
from planner.scenario.units import Number
from planner.world.draw import Draw
from planner.world.parts import GOODS, Crowd, Horizon, PriceView, Rates, Shop, Supply, Weather


class Mild(Section):
    """How warm it is."""

    times: Number = Field(1.0, gt=0, description="All temperatures times this.")


class Open(Section):
    """Takes any key."""

    model_config = ConfigDict(extra="allow")
    times: Number = Field(1.0, description="All temperatures times this.")


class Thawed(Section):
    """Can be changed."""

    model_config = ConfigDict(frozen=False)
    times: Number = Field(1.0, description="All temperatures times this.")


class Silent(Section):
    """Says nothing of its field."""

    times: Number = 1.0


class Lent(Section):
    """Holds something that can be written to."""

    times: Number = Field(1.0, description="All temperatures times this.")
    by_day: dict[str, float] = Field(default_factory=lambda: {"mon": 1.0}, description="By weekday.")


def weather_of(temperature_c: Any, sun_w_m2: float = 100.0, rain_mm: float = 0.0) -> Weather:
    hours = np.ones(np.size(temperature_c))
    return Weather.rounded(temperature_c, 2.0 * hours, rain_mm * hours, sun_w_m2 * hours)


class Mildly:
    """Sound weather: one normal number an hour."""

    def __init__(self, settings: Any) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + 5.0 * self.settings.times * draw.normal("air", horizon.hours))


class KeepsALambda(Mildly):
    def __init__(self, settings: Any) -> None:
        super().__init__(settings)
        self.twice = lambda x: 2 * x


class WritesIntoSettings(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        self.settings.by_day["mon"] = 2.0
        return super().draw(draw, horizon)


class UsesPythonsChance(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        random.random()
        return super().draw(draw, horizon)


class UsesNumpysChanceWhenBuilt(Mildly):
    def __init__(self, settings: Any) -> None:
        super().__init__(settings)
        np.random.bytes(1)  # noqa: NPY002


class Sleeps(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        time.sleep(0.03)
        return super().draw(draw, horizon)


class Counts(Mildly):
    """Every world is a little warmer than the one that was drawn before it."""

    drawn = 0

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        self.drawn += 1
        return weather_of(np.full(horizon.hours, float(self.drawn)))


class HasChanceWithoutSeed(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + default_rng().standard_normal(horizon.hours))


class ForgetsItsChance(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        draw.uniform("air", horizon.hours)
        return weather_of(np.full(horizon.hours, 10.0 * self.settings.times))


class HasAGeneratorOfItsOwn(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + default_rng(draw.replicate).standard_normal(horizon.hours))


class HasAGeneratorOfPythonsOwn(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        chance = random.Random(draw.replicate)
        return weather_of(np.array([chance.gauss(10.0, 5.0) for _ in range(horizon.hours)]))


class TakesTheStreamOfAnother(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return super().draw(Draw(draw.seed, draw.replicate, "weather/"), horizon)


class ReckonsWithTheNumberOfTheWorld(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(np.full(horizon.hours, float(draw.replicate % 17)))


class WritesIntoTheHorizon(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        horizon.month[:] = 7
        return super().draw(draw, horizon)


class RejectsAndDrawsAgain(Mildly):
    """A gamma variable by rejection: how many numbers it takes hangs on the settings."""

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        chance = draw.uniform("air", 8 * horizon.hours)
        kept = chance[chance < 0.5 / self.settings.times]
        return weather_of(20.0 * kept[: horizon.hours])


class ChangesWithNoSetting(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + draw.normal("air", horizon.hours))


class ForgetsHours(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + draw.normal("air", horizon.days))


class IsNotANumber(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(np.where(draw.normal("air", horizon.hours) > 3.0, np.nan, 10.0))


class ShinesLikeTwoSuns(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(10.0 + draw.normal("air", horizon.hours), sun_w_m2=1900.0)


class KnowsOnlyAYear(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return super().draw(draw, Horizon(horizon.start, 365, horizon.latitude_deg))


class FailsInALongWorld(Mildly):
    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        return weather_of(np.arange(8784.0)[horizon.hours - 1] * 0.0 + 10.0 + np.zeros(horizon.hours))


class HandsOutItsOwnRoom(Mildly):
    """The next world is written over the one before."""

    def __init__(self, settings: Any) -> None:
        super().__init__(settings)
        self.room = np.empty(0)

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        if self.room.size != horizon.hours:
            self.room = np.zeros(horizon.hours)
        self.room[:] = np.round(draw.normal("air", horizon.hours))
        still = np.zeros(horizon.hours)
        return Weather(self.room, still, still, still)


def offer(
    model: Callable[[Any], Any] = Mildly,
    settings: type[Section] = Mild,
    kind: Any = "weather",
    **changes: Any,
) -> Provider:
    example: Mapping[str, Any] = {"times": 1.2}
    values: dict[str, Any] = {
        "kind": kind,
        "name": "mild",
        "settings": settings,
        "build": model,
        "example": example,
    }
    return Provider(**(values | {"summary": "mild weather"} | changes))


class PerTonne:
    """What the yard pays, for a tonne instead of a kilogram."""

    def __init__(self, settings: Mild) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        return Rates({good: np.full(horizon.days, 1340.0 * self.settings.times) for good in GOODS})


def shop(**changes: Any) -> Shop:
    values: dict[str, Any] = {
        "name": "Corner", "x_km": 1.0, "y_km": 1.0, "known": True, "asking_h": 0.0, "says_yes": True,
        "misses_borne": 3, "price_creep_share": 0.0, "open_hours": (((8.0, 17.0),),) * 7,
        "ready_h": np.array([100.0, 300.0]), "gone_after_h": np.full(2, 900.0), "mass_kg": np.full(2, 50.0),
        "shares": np.tile([0.5, 0.0, 0.1, 0.1, 0.2, 0.1], (2, 1)), "price": np.full(2, 10.0),
        "wet": np.zeros(2, bool), "missed_u": np.full(2, 0.5),
    }  # fmt: skip
    return Shop(**(values | changes))


class ComesTooLate:
    def __init__(self, settings: Mild) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        return Supply("", (shop(ready_h=np.array([100.0, horizon.hours + 1.0])),))


class OpensBackwards(ComesTooLate):
    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        return Supply("", (shop(open_hours=(((17.0, 8.0),),) * 7),))


def crowd_of(horizon: Horizon, gap_h: float, size_kg: float) -> Crowd:
    shape = (2, 4)
    return Crowd(
        name="", channel="private", known=2, operational_h=24.0 * np.arange(horizon.days + 1.0),
        gap_h=np.full(shape, gap_h), size_kg=np.full(shape, size_kg), most_per_kg={"hard": np.full(shape, 4.0)},
        patience_h=np.full(shape, 240.0), shows_up=np.ones(shape, bool), brings_friend=np.zeros(shape, bool),
        returns_at_share=np.full(2, 0.5), misses_borne=np.full(2, 3), tin_kg=np.zeros(shape), tin_most_per_kg=0.0,
        sale_h=0.5, message_h=0.1, trip_km=0.0, parcel_kg=0.0, parcel_fee=0.0, least_kg=1.0,
    )  # fmt: skip


class WantsAllAtOnce:
    def __init__(self, settings: Mild) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        return crowd_of(horizon, 0.0, 5.0)


class WantsNothing(WantsAllAtOnce):
    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        return crowd_of(horizon, 100.0, 0.0)


class Plain:
    """Sound prices."""

    def __init__(self, settings: Mild) -> None:
        self.settings = settings
        self.asked = 0

    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 4.0 * self.settings.times

    def tin(self, view: PriceView) -> Any:
        return 30.0


class RaisesWithEveryQuestion(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        self.asked += 1
        return 4.0 + 0.001 * self.asked


class PricesByChance(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 4.0 + Draw(1, int(view.t_h)).uniform("price", 1)[0]


class HasNoPriceForWhatIsNotThere(Plain):
    def quote(self, view: PriceView, alloy: Any, mass_kg: float, channel: str) -> Any:
        return 4.0 + 0.01 * view.stock_kg[alloy]


class DividesByTheYard(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 4.0 * np.float64(1.0) * np.divide(view.yard_per_kg, max(view.yard_per_kg, 0.0) or np.nan)


class PaysBuyers(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 4.0 - 0.05 * mass_kg


class HasNoTin(Plain):
    def tin(self, view: PriceView) -> Any:
        return None


class AsksInCents(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 440.0


class GivesAway(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        return 0.0


class TakesFromTheStock(Plain):
    def quote(self, view: PriceView, alloy: Any, mass_kg: float, channel: str) -> Any:
        view.stock_kg[alloy] = 0.0  # type: ignore[index]
        return 4.0


class SleepsOverAPrice(Plain):
    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> Any:
        time.sleep(0.0002)
        return 4.0
