"""The kit for models finds what it says it finds: for each of its checks a small model that is wrong in that way."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.plugin.protocol import Provider
from planner.testing import (
    DemandConformance,
    PricingConformance,
    RatesConformance,
    SupplyConformance,
    WeatherConformance,
)
from planner.testing.conformance import Conformance, imports
from planner.testing.conformance.imports import Imported
from planner.testing.conformance.pairing import rank_correlation
from planner.testing.conformance.written import merged, nudged
from tests.testing import wrong
from tests.testing.wrong import offer

KINDS: dict[str, type[Conformance]] = {
    "pricing": PricingConformance,
    "supply": SupplyConformance,
    "weather": WeatherConformance,
    "rates": RatesConformance,
    "demand": DemandConformance,
}


def looked_at(provider: Provider, kind: str | None = None, **changes: Any) -> Conformance:
    """A class of checks of this provider, as a package's tests make one."""
    base = KINDS[kind or provider.kind]
    made: Conformance = type("Own", (base,), {"provider": provider, **changes})()
    return made


WRONG: dict[str, list[tuple[Conformance, str]]] = {
    "test_it_is_offered_under_a_name_that_a_scenario_can_write": [
        (looked_at(offer(), "rates"), "is of the kind 'weather', but this is the check of 'rates'"),
        (looked_at(offer(name="Mild Air")), "'Mild Air' cannot be a model's name"),
        (looked_at(offer(summary="mild\nair")), "one line"),
    ],
    "test_the_example_is_valid_and_can_be_built": [
        (looked_at(offer(example={"times": "much"})), "the example is not valid: times: 'much' was understood as text"),
        (looked_at(offer(example=[("times", 2)])), "must be a mapping"),
        (looked_at(offer(), settings={"tims": 2}), "the settings of the class are not valid: tims: the key 'tims'"),
        (looked_at(offer(lambda settings: 3.0)), "float has no method draw(draw, horizon)"),
        (looked_at(offer(lambda settings: 1 / 0)), "ZeroDivisionError"),
        (looked_at(offer(lambda settings: None)), "build returned None, not a model"),
    ],
    "test_settings_are_closed_frozen_and_described": [
        (looked_at(offer(settings=wrong.Open)), "Open takes keys that it does not know"),
        (looked_at(offer(settings=wrong.Thawed)), "Thawed can be changed"),
        (looked_at(offer(settings=wrong.Silent)), "Silent.times has no description"),
    ],
    "test_settings_and_model_can_be_pickled": [(looked_at(offer(wrong.KeepsALambda)), "cannot be pickled")],
    "test_settings_are_left_as_they_were": [
        (looked_at(offer(wrong.WritesIntoSettings, wrong.Lent)), "changed the settings")
    ],
    "test_global_random_numbers_are_left_alone": [
        (looked_at(offer(wrong.UsesPythonsChance)), "the model used or seeded"),
        (looked_at(offer(wrong.UsesNumpysChanceWhenBuilt)), "build used or seeded"),
    ],
    "test_a_call_takes_little_time": [
        (looked_at(offer(wrong.Sleeps), most_draw_s=0.02), "weather mild: drawing a year takes"),
        (looked_at(offer(wrong.SleepsOverAPrice, kind="pricing"), most_quote_s=0.0001), "quoting 200 times"),
    ],
    "test_the_same_seed_gives_the_same_bits": [
        (looked_at(offer(wrong.Counts)), "something else when it is asked again: temperature_c"),
        (looked_at(offer(wrong.HasChanceWithoutSeed)), "temperature_c"),
    ],
    "test_other_worlds_have_other_values": [
        (looked_at(offer(wrong.ForgetsItsChance)), "the stream air is asked for, but all worlds are alike")
    ],
    "test_all_chance_comes_from_the_streams_handed_in": [
        (looked_at(offer(wrong.HasAGeneratorOfItsOwn)), "a generator of its own, numpy.random.default_rng"),
        (looked_at(offer(wrong.HasAGeneratorOfPythonsOwn)), "a generator of its own, random.Random"),
        (looked_at(offer(wrong.TakesTheStreamOfAnother)), "the stream weather/air of seed"),
        (looked_at(offer(wrong.ReckonsWithTheNumberOfTheWorld)), "differs between two worlds"),
    ],
    "test_models_beside_it_draw_what_they_drew_before": [
        (looked_at(offer(wrong.WritesIntoTheHorizon)), "others draw something else: supply shops")
    ],
    "test_a_small_change_of_settings_stays_paired": [
        (looked_at(offer(wrong.RejectsAndDrawsAgain)), "with a small change of times, temperature_c is ranked"),
        (looked_at(offer(wrong.RejectsAndDrawsAgain), changed={"times": 1.21}), "settings that you name"),
        (looked_at(offer(wrong.ChangesWithNoSetting)), "no number in the settings changes anything"),
    ],
    "test_what_it_draws_has_the_right_shape_and_only_finite_numbers": [
        (looked_at(offer(wrong.ForgetsHours)), "temperature_c has the shape (365,); (8760,) is needed"),
        (looked_at(offer(wrong.IsNotANumber)), "temperature_c holds nan"),
        (looked_at(offer(wrong.Mildly, kind="rates")), "it returned Weather, not Rates"),
    ],
    "test_what_it_draws_is_plausible": [
        (looked_at(offer(wrong.ShinesLikeTwoSuns)), "sun_w_m2 holds 1900, which is not between 0 and 1400"),
        (looked_at(offer(wrong.PerTonne, kind="rates")), "per_kg[weights] holds 1608"),
    ],
    "test_short_long_and_odd_horizons_are_drawn_whole": [
        (looked_at(offer(wrong.KnowsOnlyAYear)), "a single day (1 days): temperature_c has the shape"),
        (looked_at(offer(wrong.FailsInALongWorld)), "three years (1095 days) cannot be drawn: IndexError"),
    ],
    "test_what_is_handed_in_and_handed_out_is_left_alone": [
        (looked_at(offer(wrong.WritesIntoTheHorizon)), "it changed the horizon that it was handed: month"),
        (looked_at(offer(wrong.HandsOutItsOwnRoom)), "changed what was handed over before: temperature_c"),
    ],
    "test_buckets_are_full_within_the_horizon_and_shops_open_within_a_day": [
        (looked_at(offer(wrong.ComesTooLate, kind="supply")), "a bucket is full after 8761 h"),
        (looked_at(offer(wrong.OpensBackwards, kind="supply")), "end after they begin"),
    ],
    "test_needs_take_time_to_come_back": [
        (looked_at(offer(wrong.WantsAllAtOnce, kind="demand")), "gap_h must be above 0"),
        (looked_at(offer(wrong.WantsNothing, kind="demand")), "size_kg must be above 0"),
    ],
    "test_the_same_view_gets_the_same_price": [
        (looked_at(offer(wrong.RaisesWithEveryQuestion, kind="pricing")), "asked in another order")
    ],
    "test_there_is_no_chance_in_a_price": [
        (looked_at(offer(wrong.PricesByChance, kind="pricing")), "it takes chance from the stream price")
    ],
    "test_every_question_gets_a_number_from_zero_up": [
        (looked_at(offer(wrong.HasNoPriceForWhatIsNotThere, kind="pricing")), "no alloy was ever cast: no price"),
        (looked_at(offer(wrong.DividesByTheYard, kind="pricing")), "a yard that takes no lead: it returned"),
        (looked_at(offer(wrong.PaysBuyers, kind="pricing")), "140 kg of hard, private"),
        (looked_at(offer(wrong.HasNoTin, kind="pricing")), "tin, an ordinary day: it returned None"),
    ],
    "test_prices_are_plausible": [
        (looked_at(offer(wrong.AsksInCents, kind="pricing")), "440.0 a kilogram is not between 0 and 100"),
        (looked_at(offer(wrong.GivesAway, kind="pricing")), "given away on an ordinary day"),
    ],
    "test_the_view_is_left_as_it_was": [
        (looked_at(offer(wrong.TakesFromTheStock, kind="pricing")), "changed the stock that it was shown")
    ],
}  # fmt: skip
BY_A_FRESH_INTERPRETER = {
    "test_importing_its_package_is_light",
    "test_nothing_of_it_is_imported_before_a_scenario_names_it",
}
"""Shown to fail by tests of their own, below."""
CASES = [
    pytest.param(check, case, words, id=f"{check}-{number}")
    for check, cases in WRONG.items()
    for number, (case, words) in enumerate(cases)
]


def checks(kind: type[Conformance]) -> set[str]:
    return {name for name in dir(kind) if name.startswith("test_")}


@pytest.mark.parametrize(("check", "case", "words"), CASES)
def test_a_model_that_is_wrong_in_one_way_is_told(check: str, case: Conformance, words: str) -> None:
    with pytest.raises(AssertionError) as caught:
        getattr(case, check)()
    assert words in str(caught.value)


def test_what_is_wrong_with_an_example_is_told_once() -> None:
    case = looked_at(offer(example={"times": "much", "tims": 1}))
    said = []
    for check in sorted(checks(type(case)) - BY_A_FRESH_INTERPRETER):
        try:
            getattr(case, check)()
        except AssertionError as error:
            said.append(str(error))
    whole = [words for words in said if words != "the example is not valid"]
    assert len(said) > len(whole)
    (told,) = whole
    assert told == (
        "the example is not valid: times: 'much' was understood as text, not as a number; a plain number is written "
        "like 1.5; tims: the key 'tims' is not known here; did you mean times?"
    )


def test_every_check_has_a_model_that_fails_it() -> None:
    every = {check for kind in KINDS.values() for check in checks(kind)}
    assert every - BY_A_FRESH_INTERPRETER == set(WRONG)


@pytest.mark.parametrize("check", sorted(checks(WeatherConformance)))
def test_sound_weather_passes(check: str) -> None:
    getattr(looked_at(offer()), check)()


@pytest.mark.parametrize("check", sorted(checks(PricingConformance)))
def test_sound_prices_pass(check: str) -> None:
    getattr(looked_at(offer(wrong.Plain, kind="pricing")), check)()


def test_a_call_is_timed_aloud(capsys: pytest.CaptureFixture[str]) -> None:
    looked_at(offer()).test_a_call_takes_little_time()
    assert capsys.readouterr().out.startswith("weather mild: drawing a year takes ")


PACKAGE = """
from {imports} import name
from planner.plugin.protocol import Provider, hookimpl
from planner.scenario.section import Section
from pydantic import Field


class Settings(Section):
    times: float = Field(1.0, description="Times.")


class Asks:
    def __init__(self, settings):
        self.per_kg = 4.0 * settings.times

    def quote(self, view, alloy, mass_kg, channel):
        return self.per_kg

    def tin(self, view):
        return 30.0


OFFER = Provider("pricing", "asks", Settings, Asks, "asks", {{}})
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder that this interpreter and fresh ones import from first."""
    monkeypatch.syspath_prepend(tmp_path)
    imports.imported.cache_clear()
    yield tmp_path
    imports.imported.cache_clear()
    for name in ("stall_of_the_test", "polars", "light_library"):
        sys.modules.pop(name, None)


def stall(folder: Path, imports: str) -> Conformance:
    (folder / f"{imports}.py").write_text("name = 'a library'\n", encoding="utf-8")
    (folder / "stall_of_the_test.py").write_text(PACKAGE.format(imports=imports), encoding="utf-8")
    module = __import__("stall_of_the_test")
    return looked_at(module.OFFER)


def test_a_package_that_imports_what_is_heavy_is_told(folder: Path) -> None:
    case = stall(folder, "polars")
    with pytest.raises(AssertionError, match="importing stall_of_the_test imports polars"):
        case.test_importing_its_package_is_light()
    case.test_nothing_of_it_is_imported_before_a_scenario_names_it()


def test_a_package_that_is_light_passes(folder: Path) -> None:
    stall(folder, "light_library").test_importing_its_package_is_light()


def test_a_package_that_comes_without_being_named_is_told(folder: Path) -> None:
    case = stall(folder, "light_library")
    (folder / "sitecustomize.py").write_text("import stall_of_the_test\n", encoding="utf-8")
    with pytest.raises(AssertionError, match="stall_of_the_test was imported although no scenario names it"):
        case.test_nothing_of_it_is_imported_before_a_scenario_names_it()


def test_a_package_that_only_its_own_process_can_import_is_told(folder: Path) -> None:
    case = stall(folder, "light_library")
    (folder / "light_library.py").unlink()
    with pytest.raises(
        AssertionError, match="cannot be imported in a fresh interpreter: ModuleNotFoundError"
    ):
        case.test_importing_its_package_is_light()


def test_what_a_fresh_interpreter_holds_is_asked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    imports.imported.cache_clear()
    first = imports.imported(("planner.plugin.builtin",))
    monkeypatch.setattr(subprocess, "run", None)
    assert imports.imported(("planner.plugin.builtin",)) is first
    assert isinstance(first, Imported)
    assert "planner.plugin.builtin" in first.named - first.unnamed


def test_every_number_is_made_larger_by_itself() -> None:
    written = {
        "gap": {"gamma": {"mean": "20 days", "sd": 2}},
        "on": True,
        "breaks": [{"from": "5 kg"}],
        "none": 0,
    }
    assert dict(nudged(written)) == {
        "gap.gamma.mean": written | {"gap": {"gamma": {"mean": "21.0 days", "sd": 2}}},
        "gap.gamma.sd": written | {"gap": {"gamma": {"mean": "20 days", "sd": 2.1}}},
        "breaks.0.from": written | {"breaks": [{"from": "5.25 kg"}]},
    }


def test_changed_settings_are_put_over_the_others_key_by_key() -> None:
    assert merged({"a": {"b": 1, "c": 2}, "d": 3}, {"a": {"b": 9}}) == {"a": {"b": 9, "c": 2}, "d": 3}


def test_ranks_are_compared_as_spearman_does() -> None:
    import numpy as np
    from scipy.stats import spearmanr

    one, other = np.array([3.0, 1.0, 1.0, 7.0, 5.0]), np.array([2.0, 2.0, 1.0, 9.0, 0.0])
    assert rank_correlation(one, other) == pytest.approx(spearmanr(one, other).statistic)


def test_the_kit_is_cheap_to_import_and_needs_no_test_runner(root: Path) -> None:
    code = (
        "import sys, planner.testing\n"
        "print('numpy' in sys.modules)\n"
        "from planner.testing import PricingConformance\n"
        "print('pytest' in sys.modules, 'pandas' in sys.modules, 'simpy' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False"] * 4


def test_an_unknown_name_of_the_kit_is_an_attribute_error() -> None:
    import planner.testing

    with pytest.raises(AttributeError, match="no attribute 'PricesConformance'"):
        planner.testing.PricesConformance  # noqa: B018
