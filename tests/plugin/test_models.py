"""The models of a business, made ready, and what a package's model may not do."""

from __future__ import annotations

import pickle
import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from pydantic import Field

from planner.plugin.models import Watched, models_for
from planner.plugin.registry import Registry
from planner.scenario.business import Business
from planner.scenario.section import Choice, Section
from planner.world.asking import unheard
from planner.world.build import ModelError, Models, build
from planner.world.draw import Draw
from planner.world.parts import PriceView, Weather, World
from tests.plugin.packages import Asks, Entry, Still, install, offer, plugin
from tests.small import business

SHOPS = {"shops": {"A": {"x": "1 km", "y": "2 km"}}}
VIEW = PriceView(0.0, {}, 1.3, 0.0, 0.0)


def with_acme(monkeypatch: pytest.MonkeyPatch, *offers: Any) -> Registry:
    install(monkeypatch, Entry("acme", "planner-acme", lambda: plugin(*offers)))
    return Registry()


def world_of(models: Models, of: Business, replicate: int = 3) -> World:
    return build(Draw(1, replicate), of, models)


def test_two_entries_of_a_list_need_two_names() -> None:
    same = {"name": "town", "model": "core.shops", "settings": SHOPS}
    with pytest.raises(ModelError, match="two entries of supply are called 'town'"):
        models_for(Registry(), business(supply=[same, same]))


def test_an_entry_without_a_name_is_called_by_its_model() -> None:
    models = models_for(Registry(), business(supply=[{"model": "core.shops", "settings": SHOPS}]))
    assert [source.name for source in models.supplies] == ["core.shops"]


def test_models_can_be_sent_to_another_process() -> None:
    of = business(supply=[{"model": "core.shops", "settings": SHOPS}])
    models = models_for(Registry(), of)
    sent: Models = pickle.loads(pickle.dumps(models))
    here, there = world_of(models, of), world_of(sent, of)
    assert np.array_equal(here.weather.temperature_c, there.weather.temperature_c)
    assert np.array_equal(here.supplies[0].shops[0].ready_h, there.supplies[0].shops[0].ready_h)


def test_a_packages_model_draws_like_a_built_in_one(monkeypatch: pytest.MonkeyPatch) -> None:
    of = business(weather={"model": "acme.still"})
    drawn = world_of(models_for(with_acme(monkeypatch, offer()), of), of)
    assert (drawn.weather.wind_m_s == 2.0).all()


def not_a_number(weather: Weather) -> Weather:
    weather.wind_m_s[7] = np.nan
    return weather


def use_python_dice(weather: Weather) -> Weather:
    random.random()
    return weather


def use_numpy_dice(weather: Weather) -> Weather:
    np.random.random_sample()  # noqa: NPY002  (what a package must not do)
    return weather


def leave(weather: Weather) -> Weather:
    raise SystemExit(2)


def stumble(weather: Weather) -> Weather:
    return {"wind": weather}["rain"]


@pytest.mark.parametrize(
    ("misbehave", "words"),
    [
        (not_a_number, "wind_m_s holds nan at [7]; it must be from 0 to 110, and 1 of 2880 values are not"),
        (lambda w: replace(w, rain_mm=w.rain_mm - 0.1), "rain_mm holds -0.1"),
        (lambda w: replace(w, rain_mm=w.rain_mm[:-1]), "rain_mm has the shape (2879,); (2880,) is needed"),
        (lambda w: replace(w, rain_mm=w.rain_mm.tolist()), "rain_mm is list; an array of float64 is needed"),
        (lambda w: replace(w, rain_mm=w.rain_mm.astype("f4")), "rain_mm is an array of float32"),
        (lambda w: None, "it returned NoneType, not Weather"),
        (use_python_dice, "it used Python's or numpy's global random numbers"),
        (use_numpy_dice, "it used Python's or numpy's global random numbers"),
        (leave, "it ended the program (sys.exit(2)) (tests/plugin/test_models.py:"),
        (stumble, "KeyError: 'rain' (tests/plugin/test_models.py:"),
    ],
)
def test_a_model_that_misbehaves_is_told_with_package_hook_and_replicate(
    misbehave: Callable[[Weather], Weather], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    of = business(weather={"model": "acme.still"})
    models = models_for(with_acme(monkeypatch, offer(build=lambda settings: Still(misbehave))), of)
    with pytest.raises(ModelError) as caught:
        world_of(models, of)
    assert str(caught.value).startswith(f"acme.still (planner-acme 1.2), draw, replicate 3, seed 1: {words}")
    assert caught.value.args == (str(caught.value),)


def test_a_package_cannot_write_into_its_horizon(monkeypatch: pytest.MonkeyPatch) -> None:
    class Writes(Still):
        def draw(self, draw: Any, horizon: Any) -> Weather:
            horizon.month[:] = 6
            return super().draw(draw, horizon)

    of = business(weather={"model": "acme.still"})
    models = models_for(with_acme(monkeypatch, offer(build=lambda settings: Writes())), of)
    with pytest.raises(ModelError, match="read-only"):
        world_of(models, of)


def test_a_package_that_fills_one_buffer_again_and_again_changes_no_world_before(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class OneBuffer(Still):
        whole = np.full((4, 10_000), 3.0)

        def draw(self, draw: Any, horizon: Any) -> Weather:
            self.whole[:] = float(draw.replicate)
            return Weather(*self.whole[:, : horizon.hours])

    of = business(weather={"model": "acme.still"})
    models = models_for(with_acme(monkeypatch, offer(build=lambda settings: OneBuffer())), of)
    first, second = (world_of(models, of, replicate).weather for replicate in (1, 2))
    assert set(first.wind_m_s) == {1.0}
    assert set(second.wind_m_s) == {2.0}
    assert not first.wind_m_s.flags.writeable


def test_a_package_that_changes_its_settings_when_it_is_made_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Listed(Section):
        numbers: list[int] = Field(default_factory=list)

    def build(settings: Listed) -> Still:
        settings.numbers.append(1)
        return Still()

    registry = with_acme(monkeypatch, offer(settings=Listed, build=build))
    choice = Choice(model="acme.still", settings={"numbers": [4]})
    with pytest.raises(ModelError, match=r"build, my\.yaml:3: it changed the settings that it was handed"):
        registry.built("weather", choice, "my.yaml:3")


def test_a_place_in_the_scenario_is_told_with_a_model_that_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    of = business(weather={"model": "acme.still"})
    registry = with_acme(monkeypatch, offer(build=lambda settings: Still(stumble)))
    models = models_for(registry, of, lambda steps: f"my.yaml:{'.'.join(map(str, steps))}")
    with pytest.raises(ModelError, match=r"draw, replicate 3, seed 1, my\.yaml:weather\.model: KeyError"):
        world_of(models, of)


class RollsTheDice(Asks):
    """Prices with chance of Python's or numpy's own, for metal or for tin."""

    def __init__(self, hook: str, roll: Callable[[], object]) -> None:
        super().__init__(3.0)
        self.hook, self.roll = hook, roll

    def quote(self, view: PriceView, alloy: str, mass_kg: float, channel: str) -> float:
        return self.asked("quote")

    def tin(self, view: PriceView) -> float:
        return self.asked("tin")

    def asked(self, hook: str) -> float:
        if hook == self.hook:
            self.roll()
        return 3.0


@pytest.mark.parametrize("roll", [random.random, np.random.random_sample, lambda: random.seed(1)])
@pytest.mark.parametrize("hook", ["quote", "tin"])
@pytest.mark.parametrize("first", ["quote", "tin"])
def test_a_price_by_global_chance_is_told_with_the_hook_that_used_it(
    first: str, hook: str, roll: Callable[[], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    registry = with_acme(monkeypatch, offer("pricing", "asks", lambda settings: RollsTheDice(hook, roll)))
    pricing = models_for(registry, business(pricing={"model": "acme.asks"})).pricing
    assert isinstance(pricing, Watched)
    asked = pricing.during(Draw(1, 3), unheard)
    asks = [lambda: asked.quote(VIEW, "hard", 5.0, "private"), lambda: asked.tin(VIEW)]

    def run() -> None:
        for ask in asks if first == "quote" else reversed(asks):
            ask()
            ask()
        asked.see_all_left_alone()

    with pytest.raises(ModelError) as caught:
        run()
    assert str(caught.value) == (
        f"acme.asks (planner-acme 1.2), {hook}, replicate 3, seed 1: it used Python's or numpy's global random "
        "numbers; there is no chance in a price, or runs could not be repeated"
    )


def test_a_packages_price_is_handed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    registry = with_acme(monkeypatch, offer("pricing", "asks", lambda settings: Asks(3)))
    pricing = models_for(registry, business(pricing={"model": "acme.asks"})).pricing
    assert (pricing.quote(VIEW, "hard", 5.0, "private"), pricing.tin(VIEW)) == (3.0, 3.0)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (float("nan"), "it returned nan; a price is a number from 0 up"),
        (float("inf"), "it returned inf; a price is a number from 0 up"),
        (-1.0, "it returned -1.0; a price"),
        ("4", "it returned '4'; a price"),
        (None, "it returned None; a price"),
        (
            ZeroDivisionError("division by zero"),
            "ZeroDivisionError: division by zero (tests/plugin/packages.py:",
        ),
    ],
)
def test_a_price_that_is_none_is_told_with_package_and_hook(
    asked: Any, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    registry = with_acme(monkeypatch, offer("pricing", "asks", lambda settings: Asks(asked)))
    pricing = models_for(registry, business(pricing={"model": "acme.asks"})).pricing
    for hook, ask in (
        ("quote", lambda: pricing.quote(VIEW, "hard", 5.0, "post")),
        ("tin", lambda: pricing.tin(VIEW)),
    ):
        with pytest.raises(ModelError) as caught:
            ask()
        assert str(caught.value).startswith(f"acme.asks (planner-acme 1.2), {hook}: {words}")
