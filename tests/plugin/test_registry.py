"""The registry: models found by name, packages loaded when named, failures kept apart."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest

from planner import __version__
from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.protocol import ENTRY_POINT_GROUP, KINDS, hookimpl
from planner.plugin.registry import Registry, key_of
from planner.scenario.registry import UnknownModel
from planner.scenario.section import Choice
from planner.world.build import ModelError
from tests.plugin.packages import Entry, Nothing, Still, install, offer, plugin


def refused(registry: Registry, kind: str, model: str) -> str:
    with pytest.raises(UnknownModel) as caught:
        registry.settings_class(kind, model)
    return str(caught.value)


def test_a_built_in_model_is_known_by_its_name() -> None:
    assert Registry().settings_class("supply", "core.shops") is ShopsSettings


def test_a_misspelt_model_is_answered_with_the_nearest_one() -> None:
    assert refused(Registry(), "weather", "core.sintetic") == (
        "there is no weather model core.sintetic; did you mean core.synthetic? "
        "weather models are core.constant, core.synthetic"
    )


def test_a_model_of_another_kind_is_called_what_it_is() -> None:
    assert refused(Registry(), "weather", "core.shops") == (
        "core.shops is a supply model, but a weather model is needed here; "
        "weather models are core.constant, core.synthetic"
    )


def test_the_same_name_may_serve_two_kinds() -> None:
    registry = Registry()
    assert registry.provider("rates", "core.fixed").kind == "rates"
    assert registry.provider("pricing", "core.fixed").kind == "pricing"


@pytest.mark.parametrize(
    "model", ["../evil", "core", "core.shops.more", "/etc/passwd", "Core.Shops", "", "core."]
)
def test_what_is_no_models_name_is_refused(model: str) -> None:
    assert "is not the name of a model; write package and model with a dot" in refused(
        Registry(), "supply", model
    )


def test_a_forgotten_package_is_guessed() -> None:
    assert refused(Registry(), "supply", "shops").endswith("did you mean core.shops?")


def test_a_package_that_is_not_installed_is_answered_with_those_that_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    install(monkeypatch, Entry("acme", "planner-acme", lambda: plugin(offer())))
    assert refused(Registry(), "weather", "acne.still") == (
        "no installed package offers models called 'acne'; did you mean acme? installed are acme, core "
        "(a package announces models in the entry-point group planner.models.v1)"
    )


def test_a_package_is_loaded_when_it_is_named_and_not_before(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded: list[str] = []
    entries = [
        Entry(name, f"planner-{name}", lambda name=name: (loaded.append(name), plugin(offer()))[1])
        for name in ("acme", "other")
    ]
    install(monkeypatch, *entries)
    registry = Registry()
    registry.settings_class("supply", "core.shops")
    assert loaded == []
    assert registry.settings_class("weather", "acme.still") is Nothing
    assert registry.settings_class("weather", "acme.still") is Nothing
    assert loaded == ["acme"]


def breaks(error: BaseException) -> Any:
    def load() -> Any:
        raise error

    return load


@pytest.mark.parametrize(
    ("load", "words"),
    [
        (
            breaks(ImportError("no module named numbers_of_acme")),
            "ImportError: no module named numbers_of_acme",
        ),
        (breaks(SystemExit(3)), "it ended the program (sys.exit(3))"),
        (breaks(SystemExit()), "it ended the program (sys.exit)"),
        (lambda: plugin(offer(name="Bad Name")), "'Bad Name' cannot be a model's name"),
        (lambda: plugin(offer(kind="magic")), "'still' is of the kind 'magic'"),
        (
            lambda: plugin(offer(settings=dict)),
            "the settings of 'still' are `builtins.dict`, which does not inherit planner.scenario.Section",
        ),
        (lambda: plugin("still"), "planner_models returned str among its Providers"),
        (lambda: plugin(), "planner_models returned no Provider"),
        (
            lambda: object(),
            "the module planner-acme.models has no function planner_models marked with @hookimpl",
        ),
        (
            lambda: plugin(offer(), offer()),
            "two weather models are called 'still', with the settings tests.plugin.packages.Nothing and tests.",
        ),
    ],
)
def test_a_broken_package_is_told_by_name_and_stops_nothing_else(
    load: Any, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(
        monkeypatch,
        Entry("acme", "planner-acme", load, "0.9"),
        Entry("good", "planner-good", lambda: plugin(offer())),
    )
    registry = Registry()
    message = refused(registry, "weather", "acme.still")
    assert "planner-acme 0.9" in message
    assert words in message
    assert registry.settings_class("weather", "good.still") is Nothing
    rows = registry.available()
    assert [row.problem for row in rows if row.package == "planner-acme"] == [message]
    assert [row.model for row in rows if row.package == "planner-good"] == ["good.still"]
    assert {row.kind for row in rows if row.package == "planner"} == set(KINDS)


def test_a_hook_that_asks_for_what_is_not_there_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Module:
        @hookimpl
        def planner_models(self, wishes: int) -> list[Any]:
            raise AssertionError(wishes)

    install(monkeypatch, Entry("acme", "planner-acme", Module))
    assert "wishes" in refused(Registry(), "weather", "acme.still")


def test_a_real_entry_point_to_nowhere_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    install(monkeypatch, EntryPoint("gone", "package_that_is_not_there", ENTRY_POINT_GROUP))
    message = refused(Registry(), "weather", "gone.still")
    assert (
        "package_that_is_not_there of unknown version cannot be used: importing package_that_is_not_there"
        in message
    )
    assert "ModuleNotFoundError" in message


def test_two_packages_with_one_name_are_both_named(monkeypatch: pytest.MonkeyPatch) -> None:
    install(
        monkeypatch,
        Entry("acme", "planner-acme", lambda: plugin(offer())),
        Entry("acme", "planner-akme", lambda: plugin(offer()), "2.0"),
    )
    registry = Registry()
    message = refused(registry, "weather", "acme.still")
    assert (
        message
        == "both planner-acme 1.2 and planner-akme 2.0 offer models called 'acme'; uninstall one of them"
    )
    assert len([row for row in registry.available() if row.problem == message]) == 2


def test_the_same_package_found_twice_is_one_package(monkeypatch: pytest.MonkeyPatch) -> None:
    entry = Entry("acme", "planner-acme", lambda: plugin(offer()))
    install(monkeypatch, entry, entry)
    assert Registry().settings_class("weather", "acme.still") is Nothing


@pytest.mark.parametrize(
    ("group", "words"),
    [
        ("planner.models.v2", "install a newer planner, or an older planner-acme that was made for"),
        (
            "planner.models.v0",
            "install a newer planner-acme that was made for planner.models.v1, or an older",
        ),
        ("planner.models", "if it is yours: write planner.models.v1 in its pyproject.toml"),
        ("planner.models_v1", "if it is yours: write planner.models.v1 in its pyproject.toml"),
        ("planner.model.v1", "if it is yours: write planner.models.v1 in its pyproject.toml"),
        ("planner", "if it is yours: write planner.models.v1 in its pyproject.toml"),
    ],
)
def test_a_package_for_another_version_of_the_contract_is_told_what_to_do_and_never_imported(
    group: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(monkeypatch, Entry("acme", "planner-acme", breaks(AssertionError("imported")), "3.1", group))
    registry = Registry()
    message = refused(registry, "weather", "acme.still")
    assert message.startswith(
        f"the package planner-acme 3.1 announces models called 'acme' in the entry-point group {group}, "
        f"but planner {__version__} knows planner.models.v1; {words}"
    )
    assert [row.problem for row in registry.available() if row.package == "planner-acme"] == [message]


def test_a_package_for_several_versions_of_the_contract_is_used_by_ours(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    other = Entry("acme", "planner-acme", breaks(AssertionError("imported")), group="planner.models.v2")
    install(monkeypatch, other, Entry("acme", "planner-acme", lambda: plugin(offer())))
    registry = Registry()
    assert registry.settings_class("weather", "acme.still") is Nothing
    assert [row.problem for row in registry.available() if row.package == "planner-acme"] == [""]


def test_a_package_beside_one_of_another_version_is_used_and_the_other_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    other = Entry("acme", "planner-akme", breaks(AssertionError("imported")), group="planner.models.v2")
    install(monkeypatch, other, Entry("acme", "planner-acme", lambda: plugin(offer())))
    registry = Registry()
    assert registry.settings_class("weather", "acme.still") is Nothing
    assert [(row.package, "group planner.models.v2" in row.problem) for row in registry.available()][:2] == [
        ("planner-acme", False),
        ("planner-akme", True),
    ]


def test_every_key_of_a_models_settings_is_listed_with_what_it_holds() -> None:
    row = next(one for one in Registry().available() if one.model == "core.shops")
    settings = {one.key: one for one in row.settings}
    assert settings["shops"].default == "must be written"
    assert "shops.<name>.gap" in settings
    growth = settings["growth_a_year_share"]
    assert (growth.type, growth.default) == ("a plain number", "0")
    assert growth.description.endswith(".")


def test_nobody_takes_the_planners_own_name(monkeypatch: pytest.MonkeyPatch) -> None:
    install(monkeypatch, Entry("core", "planner-thief", breaks(AssertionError("loaded"))))
    registry = Registry()
    assert registry.settings_class("supply", "core.shops") is ShopsSettings
    problem = next(row.problem for row in registry.available() if row.package == "planner-thief")
    assert "the name core belongs to the planner itself" in problem


def test_a_model_is_built_once_for_each_distinct_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    built: list[Any] = []
    install(
        monkeypatch,
        Entry(
            "acme",
            "planner-acme",
            lambda: plugin(offer(build=lambda settings: built.append(settings) or Still())),
        ),
    )
    registry = Registry()
    one = registry.build("weather", Choice(model="acme.still"))
    assert registry.build("weather", Choice(model="acme.still", name="again")) is one
    assert len(built) == 1
    calm = registry.build("weather", Choice(model="core.constant", settings={"wind": "0 m/s"}))
    assert registry.build("weather", Choice(model="core.constant", settings={"wind": "1 m/s"})) is not calm


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (ValueError("the file has no column for wind"), "build: the file has no column for wind"),
        (KeyError("wind"), "build: KeyError: 'wind' (tests/plugin/test_registry.py:"),
        (SystemExit(1), "build: it ended the program (sys.exit(1)) (tests/plugin/test_registry.py:"),
    ],
)
def test_a_model_that_cannot_be_built_is_told_with_package_version_and_hook(
    error: BaseException, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def build(settings: Any) -> Any:
        raise error

    install(monkeypatch, Entry("acme", "planner-acme", lambda: plugin(offer(build=build))))
    with pytest.raises(ModelError) as caught:
        Registry().build("weather", Choice(model="acme.still"))
    assert str(caught.value).startswith(f"acme.still (planner-acme 1.2), {words}")
    assert caught.value.args == (str(caught.value),)


def test_settings_that_were_never_read_are_read_and_refused_in_one_line() -> None:
    with pytest.raises(ModelError, match=r"^core\.constant \(planner [^)]+\), settings: wnd: Extra inputs"):
        Registry().build("weather", Choice(model="core.constant", settings={"wnd": "1 m/s"}))


def test_model_names_cover_every_kind() -> None:
    registry = Registry()
    assert registry.model_names("rates")[:3] == ["core.fixed", "core.mean_reverting", "core.replay"]
    assert all(registry.model_names(kind) for kind in KINDS)


def test_settings_are_told_apart_by_value_and_order() -> None:
    place = {"x": "1 km", "y": "1 km"}
    one, same, other, turned = (
        ShopsSettings.model_validate({"shops": shops})
        for shops in (
            {"A": place, "B": place},
            {"A": place, "B": place},
            {"A": place, "B": {**place, "gap": "9 days"}},
            {"B": place, "A": place},
        )
    )
    assert key_of(one) == key_of(same)
    assert len({key_of(one), key_of(other), key_of(turned)}) == 3


def test_two_registries_share_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    first = Registry()
    first.available()
    install(monkeypatch, Entry("acme", "planner-acme", lambda: plugin(offer())))
    assert "acme.still" in Registry().model_names("weather")
    assert "acme.still" not in first.model_names("weather")


def test_a_registry_is_made_without_importing_the_models(root: Path) -> None:
    code = (
        "import sys; from planner.plugin.registry import Registry; Registry();"
        "heavy = ('planner.plugin.builtin', 'planner_', 'pandas', 'pvlib', 'pint');"
        "print([name for name in sys.modules if name.startswith(heavy)])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
