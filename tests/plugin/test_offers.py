"""What is wrong with a package before anything is asked of it: told when it is loaded, and by ``planner plugins``."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from planner.plugin.registry import Registry
from planner.plugin.scaffold import NewPackageError, new_package
from planner.scenario.registry import UnknownModel
from planner.scenario.section import Choice
from planner.world.build import ModelError
from tests.plugin import oops

Put = Callable[..., Registry]
UNUSABLE = f"oops-models {oops.VERSION} cannot be used: "
QUOTE = "(view, alloy, mass_kg, channel)"


@pytest.fixture
def put(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Put]:
    """Install a package where this process finds it."""
    sys.modules.pop("oops", None)

    def install(*values: str, **named: str) -> Registry:
        monkeypatch.syspath_prepend(oops.install(tmp_path, *values, **named))
        return Registry()

    yield install
    sys.modules.pop("oops", None)


def problem(registry: Registry, model: str = "oops.price") -> str:
    """What a scenario that names it, and ``planner plugins``, say of it: the same."""
    with pytest.raises(UnknownModel) as caught:
        registry.provider("pricing", model)
    (row,) = (row for row in Registry().available() if row.package == "oops-models")
    assert row.problem == str(caught.value)
    return str(caught.value)


def test_a_sound_package_is_used(put: Put) -> None:
    model = put().built("pricing", Choice(model="oops.price", settings={"ask": "5 EUR/kg"})).model
    assert model.settings.ask_per_kg == 5.0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("def quote", "def qoute", f"Oops has no method quote{QUOTE}"),
        ("def tin", "def tins", "Oops has no method tin(view)"),
        ("(self, view, alloy, mass_kg, channel)", "(self, view, alloy)",
         f"Oops.quote takes (view, alloy); {QUOTE} is needed"),
        ("def tin(self, view)", "def tin(self, view, alloy: str, *, why)",
         "Oops.tin takes (view, alloy, *, why); (view) is needed"),
        ("Settings, Oops,", "Settings, None,",
         "the build of 'price' is None; it must be what makes a model of settings"),
        ("Settings(Section)", "Settings",
         "the settings of 'price' are `oops.Settings`, which does not inherit planner.scenario.Section"),
        ("Settings, Oops,", "{'ask': 1}, Oops,",
         "the settings of 'price' are `{'ask': 1}`, which does not inherit planner.scenario.Section"),
        ('"4 EUR/kg"}', '"4 EUR", "asks": 1}',
         "the example of 'price' is not valid: ask: '4 EUR' is an amount of money"),
        ('{"ask": "4 EUR/kg"}', '["4 EUR/kg"]',
         "the example of 'price' is not valid: list was found where a mapping is needed, as a file holds it"),
        ("@hookimpl\n", "", "the module oops has no function planner_models marked with @hookimpl"),
        ("return [Prov", "[Prov", "planner_models returned None, not a list of Providers"),
        ('"4 EUR/kg"})]', '"4 EUR/kg"})][0]', "planner_models returned Provider, not a list of Providers"),
        ("return [Prov", "return []\n    [Prov", "planner_models returned no Provider"),
        ("return [Prov", "return ['price', Prov", "planner_models returned str among its Providers"),
        ("return [Prov", "return [1 / 0, Prov",
         f"planner_models: ZeroDivisionError: division by zero (oops.py:{oops.line_of(oops.SOUND, 'return [P')})"),
        ("import numpy as np", "import nmpy",
         "importing oops: ModuleNotFoundError: No module named 'nmpy' (oops.py:1)"),
    ],
)  # fmt: skip
def test_what_can_be_seen_without_building_is_told_when_a_package_is_loaded(
    old: str, new: str, words: str, put: Put
) -> None:
    text = oops.SOUND.replace(old, new, 1)
    assert text != oops.SOUND
    assert problem(put(text)).startswith(f"{UNUSABLE}{words}")


def test_a_syntax_error_is_told_with_its_line_once(put: Put) -> None:
    text = oops.SOUND.replace("def tin(self, view):", "def tin(self, view)")
    line = oops.line_of(text, "def tin")
    assert problem(put(text)) == f"{UNUSABLE}importing oops: SyntaxError: expected ':' (oops.py:{line})"


def test_a_line_of_a_package_with_a_folder_is_told_from_that_folder_on(put: Put) -> None:
    text = f"{oops.SOUND}\nraise RuntimeError('not today')\n"
    line = oops.line_of(text, "raise Runtime")
    assert problem(put(text, file="oops/__init__.py")).endswith(
        f"RuntimeError: not today (oops/__init__.py:{line})"
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("    def quote", "    def __getattr__(self, name):\n        return self.other\n\n    def other"),
        ("    def quote(", "    quote: object\n\n    def other("),
        (
            "        self.settings = settings",
            "        self.settings = settings\n        self.quote = self.other",
        ),
    ],
)
def test_a_method_that_only_the_model_has_is_no_fault(old: str, new: str, put: Put) -> None:
    text = oops.SOUND.replace(old, new, 1)
    if "self.quote =" in new:
        text = text.replace("def quote", "def other")
    assert put(text).provider("pricing", "oops.price").name == "price"


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ("None", "build returned None, not a model"),
        ("Fraction(1)", f"Fraction has no method quote{QUOTE}"),
        ("SimpleNamespace(quote=max, tin=lambda: 30.0)",
         "SimpleNamespace.tin takes (); (view) is needed"),
        ("SimpleNamespace(quote=4.0)", f"SimpleNamespace has no method quote{QUOTE}"),
    ],
)  # fmt: skip
def test_what_only_building_shows_is_told_right_after(made: str, words: str, put: Put) -> None:
    imports = "from fractions import Fraction\nfrom types import SimpleNamespace\n"
    text = imports + oops.SOUND.replace("Settings, Oops,", f"Settings, lambda settings: {made},")
    registry, choice = put(text), Choice(model="oops.price")
    with pytest.raises(ModelError) as caught:
        registry.built("pricing", choice, "my.yaml:3")
    assert str(caught.value) == f"oops.price (oops-models {oops.VERSION}), my.yaml:3: {words}"


def test_files_that_an_example_names_need_not_be_there(put: Put) -> None:
    text = oops.SOUND.replace(
        "class Settings(Section):",
        'class Settings(Section):\n    file: DataFile = Field(description="Prices.")',
    )
    text = f"from planner.scenario import DataFile\n{text}".replace(
        '{"ask":', '{"file": "prices.csv", "ask":'
    )
    assert put(text).provider("pricing", "oops.price").example["file"] == "prices.csv"


def test_an_entry_point_that_names_a_thing_in_the_module_is_told_the_module(put: Put) -> None:
    assert problem(put(entry="oops = oops:planner_models")) == (
        f"{UNUSABLE}the entry point must name a module ('oops'), not a thing in it ('oops:planner_models')"
    )


@pytest.mark.parametrize("group", ["planner.model.v1", "planner.models", "planner-models", "planner"])
def test_a_misspelt_group_is_told(group: str, put: Put) -> None:
    found = problem(put("raise AssertionError('imported')", group=group))
    assert f"announces models called 'oops' in the entry-point group {group}, but planner" in found
    assert found.endswith("if it is yours: write planner.models.v1 in its pyproject.toml")


@pytest.mark.parametrize("group", ["plannery.plugins", "planner_of_trips.plugins"])
def test_groups_of_others_are_nobodys_business(group: str, put: Put) -> None:
    registry = put(group=group)
    assert not [row for row in registry.available() if row.package == "oops-models"]


@pytest.mark.parametrize("name", ["oo-ps", "Oo.ps", "oo ps", "2oo_ps"])
def test_an_entry_point_that_no_scenario_can_name_is_told(name: str, put: Put) -> None:
    found = problem(put("raise AssertionError('imported')", entry=f"{name} = oops"), f"{name}.price")
    assert found == (
        f"{UNUSABLE}its entry point is called '{name}', and no scenario can write that in front of a model's name; "
        "use small letters, digits and _, such as oo_ps"
    )


def test_a_word_of_pythons_own_is_no_name_for_a_new_package() -> None:
    with pytest.raises(NewPackageError, match=r"'class' is a word of Python's own.*such as my-class"):
        new_package("class", "pricing")


LISTED = """
import json
from typer.testing import CliRunner
from planner.cli.app import app
every = (("show", "oops.price"), (), ("--format", "json"))
found = [CliRunner().invoke(app, ["plugins", *words], prog_name="planner") for words in every]
print(json.dumps([(one.exit_code, one.output) for one in found]))
"""
"""One process for the three of them: starting one takes longer than what it does."""


@pytest.mark.parametrize(
    ("text", "code"),
    [pytest.param(oops.SOUND, 0, marks=pytest.mark.long), (oops.SOUND.replace("def tin", "def tins"), 1)],
)
def test_planner_plugins_ends_with_1_if_a_package_cannot_be_used(
    text: str, code: int, tmp_path: Path, root: Path
) -> None:
    place = oops.install(tmp_path, text)
    path = os.pathsep.join([str(root), str(place), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        [sys.executable, "-c", LISTED],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": path, "NO_COLOR": "1"},
    )
    shown, listed, as_json = json.loads(done.stdout)
    for ended, said in (shown, listed, as_json):
        told = "Oops has no method tin(view)" in " ".join(said.split())
        assert (ended, told) == (code, bool(code))
    (row,) = (one for one in json.loads(as_json[1])["models"] if one["package"] == "oops-models")
    assert bool(row["problem"]) == bool(code)
