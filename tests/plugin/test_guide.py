"""The guide for plugin authors: all its code is run, as a stranger would, and it leaves out no hook and no field."""

from __future__ import annotations

import ast
import csv
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from functools import cached_property, partial
from inspect import signature
from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic.fields import FieldInfo

import planner
from planner.plugin import contents, protocol
from planner.plugin.builtin import planner_models
from planner.plugin.protocol import ENTRY_POINT_GROUP, KINDS, ModelHooks, Provider
from planner.scenario import spread, units
from planner.scenario.kinds import KINDS as QUANTITIES
from planner.scenario.outline import fields_of
from planner.scenario.section import key_of
from planner.testing import conformance
from planner.testing.conformance import Conformance
from planner.world.draw import Draw
from planner.world.parts import Crowd, Horizon, PriceView, Rates, Shop, Supply, Weather
from tests.contract.tree import ROOT
from tests.fences import blocks
from tests.plugin.elsewhere import Elsewhere

GUIDE = (ROOT / "plugins" / "README.md").read_text(encoding="utf-8")
HOOK = re.compile(r"^\| `([\w.]+)` \|(.*)\|$", re.M)


def test_every_block_of_the_guide_is_run(elsewhere: Elsewhere, tmp_path: Path) -> None:
    folder, planners = tmp_path / "stall", tmp_path / "planner"
    for made in (folder, planners / "scenarios"):
        made.mkdir(parents=True)
    (planners / "scenarios" / "example.yaml").write_text(in_drawn_weather(), encoding="utf-8")
    (planners / ".venv").symlink_to(elsewhere.folder)
    shell = partial(in_a_shell, elsewhere, folder)
    script = said = ""
    for block in blocks(GUIDE):
        if block.file:
            (folder / block.file).write_text(block.text, encoding="utf-8")
        elif block.form == "sh":
            said += shell(block.text)
        elif block.form == "text":
            see_the_slip(block.text, folder, shell)
        else:
            assert block.form == "python"
            script += block.text
    elsewhere.python("-c", script, cwd=folder)
    assert "stall.over_yard" in said


def in_drawn_weather() -> str:
    """The example in weather that is there at once: reading a measured year takes longer than what the guide does."""
    text = (ROOT / "scenarios" / "example.yaml").read_text(encoding="utf-8")
    drawn, measured = re.subn(
        r"^weather:\n(?: .*\n)+", "weather: {model: core.synthetic}\n", text, flags=re.M
    )
    drawn, colder = re.subn(r"(?<=      weather\.settings\.)colder_by: .*", "coldest: -5 degC", drawn)
    drawn, windier = re.subn(r"      weather\.settings\.windier_times: .*\n", "", drawn)
    assert (measured, colder, windier) == (1, 1, 1)
    return drawn


def in_a_shell(elsewhere: Elsewhere, folder: Path, words: str, code: int = 0) -> str:
    """What is printed where the planner lies in ``~/planner``, as the guide has it."""
    home = ["env", f"HOME={folder.parent}"]
    return elsewhere.run([*home, "bash", "-euc", words], cwd=folder, code=code, one_core=True)


def see_the_slip(shown: str, folder: Path, shell: Callable[..., str]) -> None:
    """A slip in the guide's model is told as the guide shows it, word for word, and repeated; the rest is kept."""
    sound = (folder / "stall.py").read_text(encoding="utf-8")
    wrong, right = in_the_guide(r"`([\w.]+)` in place of `([\w.]+)`")
    assert right in sound
    (folder / "stall.py").write_text(sound.replace(right, wrong), encoding="utf-8")
    (command,) = in_the_guide(r"`(planner compare [^`]+)`\s+plays")
    said = shell(command, code=1)
    assert shown in "".join(f"{line.rstrip()}\n" for line in said.splitlines())
    with (folder / "reports" / "my" / "runs.csv").open(encoding="utf-8", newline="") as runs:
        played = {row["option"]: bool(row["profit"]) for row in csv.DictReader(runs)}
    assert [option for option, kept in played.items() if not kept] == ["follow the yard"]
    what, again = shown.split(".\nAgain alone:\n")
    again = again.rstrip()
    told = shell(again, code=1)
    assert " ".join(what.partition("world 0: ")[2].split()) in " ".join(told.split())
    failed = (folder / "reports" / "my" / "failures.csv").read_text(encoding="utf-8")
    assert again in failed
    assert "stall.py:18 in quote" in failed
    (folder / "stall.py").write_text(sound, encoding="utf-8")


def in_the_guide(pattern: str) -> tuple[str, ...]:
    """What the one place that has this form says."""
    (found,) = re.finditer(pattern, GUIDE)
    return found.groups()


def test_the_guide_shows_each_file_of_a_package() -> None:
    assert {block.file for block in blocks(GUIDE) if block.file} == {
        "stall.py",
        "pyproject.toml",
        "my.yaml",
        "test_stall.py",
    }


def test_the_guide_starts_with_one_file_of_about_twenty_lines() -> None:
    first = blocks(GUIDE)[0]
    assert first.file == "stall.py"
    assert 15 <= len([line for line in first.text.splitlines() if line.strip()]) <= 22


# what the contract asks of a package, by name: hooks of pluggy, what is built, methods of models


def hooks_of(specifications: type) -> set[str]:
    return {name for name, one in vars(specifications).items() if hasattr(one, "planner_spec")}


def methods_of(module: Any) -> dict[str, set[str]]:
    """Methods of every protocol of a model, such as ``WeatherModel.draw``, by the kind that it is for."""
    return {
        kind: {
            f"{kind.capitalize()}Model.{name}"
            for name, one in vars(getattr(module, f"{kind.capitalize()}Model")).items()
            if callable(one) and not name.startswith("_")
        }
        for kind in KINDS
    }


def asked_for() -> set[str]:
    return {"Provider.build"}.union(hooks_of(ModelHooks), *methods_of(protocol).values())


def entries(guide: str) -> dict[str, list[str]]:
    """Rows of the table of hooks."""
    table = guide.partition("## What is called when")[2].partition("\n\n`planner_models`")[0]
    return {name: [cell.strip() for cell in cells.split("|")] for name, cells in HOOK.findall(table)}


def test_every_hook_has_an_entry_in_the_guide_and_no_other_has() -> None:
    assert set(entries(GUIDE)) == asked_for()
    assert len(asked_for()) == 8


@pytest.mark.parametrize("name", sorted(asked_for()))
def test_an_entry_says_when_what_with_which_streams_and_since_when(name: str) -> None:
    when, gets, returns, streams, raises, since = entries(GUIDE)[name]
    assert when
    assert gets
    assert returns
    assert streams in ("none", "those of the draw")
    assert raises
    assert f"planner.models.{since}" == ENTRY_POINT_GROUP


def test_a_hook_without_an_entry_is_found() -> None:
    class More(ModelHooks):
        @protocol.hookspec
        def planner_charts(self) -> None:
            """Not in the guide."""

    assert hooks_of(More) - set(entries(GUIDE)) == {"planner_charts"}


# every hook has a test: a package's module implements it in the registry's, the kit asks every method of a model


def implemented_in(folder: Path) -> set[str]:
    """Names of functions that tests mark as implementations of a hook."""
    return {
        node.name
        for path in folder.rglob("test_*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
        and any(ast.unparse(one) == "hookimpl" for one in node.decorator_list)
    }


def test_every_hook_has_a_test() -> None:
    assert hooks_of(ModelHooks) - implemented_in(ROOT / "tests" / "plugin") == set()


class Noting:
    """A model that notes which of its methods are asked."""

    def __init__(self, model: Any, kind: str, noted: set[str]) -> None:
        self._own = model, kind, noted

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        model, kind, noted = self._own
        noted.add(f"{kind.capitalize()}Model.{name}")
        return getattr(model, name)


def kit_of(kind: str) -> type[Conformance]:
    made: type[Conformance] = getattr(conformance, f"{kind.capitalize()}Conformance")
    return made


def asked_by_the_kit(kind: str) -> set[str]:
    """What the kit's checks ask of a built-in model of this kind."""
    noted: set[str] = set()
    provider = next(one for one in planner_models() if one.kind == kind)

    class Looked(kit_of(kind)):  # type: ignore[misc]
        def model(self, written: Any = None) -> Any:
            noted.add("Provider.build")
            return Noting(super().model(written), kind, noted)

    Looked.provider = provider
    case = Looked()
    for check in (
        name
        for name in dir(case)
        if name.startswith("test_") and "import" not in name and "pickled" not in name
    ):
        getattr(case, check)()
    return noted


@pytest.mark.parametrize("kind", KINDS)
def test_every_method_of_a_model_is_asked_by_the_kit(kind: str) -> None:
    assert asked_by_the_kit(kind) == methods_of(protocol)[kind] | {"Provider.build"}


# what is handed over and handed back, field by field


def told_of(name: str) -> set[str]:
    """First column of the guide's table of this class."""
    table = GUIDE.partition(f"| `{name}` | |\n")[2].partition("\n\n")[0]
    rows = [line.split("|")[1] for line in table.splitlines()[1:]]
    return {word for row in rows for word in re.findall(r"`(\w+)`", row)}


def there_in(of: type) -> set[str]:
    """Fields of a part, and what else can be looked up in it."""
    named = {one.name for one in fields(of)} if is_dataclass(of) else set(of._fields)  # type: ignore[attr-defined]
    if of in (Horizon, Draw):
        named |= {
            name
            for name, one in vars(of).items()
            if not name.startswith("_") and (callable(one) or isinstance(one, (property, cached_property)))
        }
    return named


@pytest.mark.parametrize(
    "of",
    [Provider, Draw, Horizon, PriceView, Supply, Shop, Weather, Rates, Crowd],
    ids=lambda of: of.__name__,
)
def test_every_field_is_told_and_no_other(of: type) -> None:
    assert told_of(of.__name__) == there_in(of)


def cells(heading: str) -> list[list[str]]:
    """Rows of the guide's table below this heading."""
    table = GUIDE.partition(f"{heading}\n|---")[2].partition("\n\n")[0]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in table.splitlines()[1:]]


def test_every_type_of_a_quantity_is_told_with_the_ending_that_it_asks_for() -> None:
    told = {}
    for row in cells("| type | ends in | written | type | ends in | written |"):
        for types, ending, written in (row[:3], row[3:]):
            told |= {
                name: (ending.strip("`_()"), written.strip("`")) for name in re.findall(r"`(\w+)`", types)
            }
    types = {
        name: marker.symbol
        for module in (units, spread)
        for name, one in vars(module).items()
        for marker in getattr(one, "__metadata__", ())
        if isinstance(marker, (units.Unit, spread.SpreadOf))
    }
    endings = {symbol: (kind.suffixes[:1] or ("",))[0] for symbol, kind in QUANTITIES.items()} | {
        "share": "share"
    }
    assert told == {name: (endings[symbol], QUANTITIES[symbol].example) for name, symbol in types.items()}


@pytest.mark.parametrize("symbol", QUANTITIES)
def test_an_ending_is_asked_for_and_is_not_part_of_the_key(symbol: str) -> None:
    """That of a share is a habit and stays in the key."""
    kind, field = QUANTITIES[symbol], FieldInfo.from_annotation(Annotated[float, units.Unit(symbol)])
    for ending in kind.suffixes:
        assert key_of("Settings", f"least_{ending}", field) == "least"
    if kind.suffixes:
        with pytest.raises(TypeError, match="asks for a name that ends in"):
            key_of("Settings", "least", field)
    else:
        assert key_of("Settings", "bulk_share", field) == "bulk_share"


def test_what_fills_a_bucket_is_told_with_its_arguments_and_keys() -> None:
    rows = cells("| `planner.plugin.contents` | gets | returns |")
    told = {row[0].strip("`"): row[1] for row in rows}
    keys = {name: set(re.findall(r"`(\w+)`", gets)) for name, gets in told.items()}
    assert keys["Mix"] == set(fields_of(contents.Mix))
    assert keys["FallingLead"] == set(fields_of(contents.FallingLead))
    asked = {
        f"{one.__name__}({', '.join(name for name in signature(one).parameters if name != 'self')})"
        for one in (contents.FallingLead.fallen_share, contents.lots, contents.parts_of)
    }
    assert set(told) == {"Mix", "FallingLead"} | asked


def test_somebody_who_brings_still_takes_a_trip_and_lifts(tmp_path: Path) -> None:
    """As the guide says of a shop at 0, 0."""
    package = ROOT / "plugins" / "fitted-rates"
    brings = (
        (package / "fitted-rates.yaml").read_text("utf-8").replace("{x: 2 km, y: 1 km,", "{x: 0 km, y: 0 km,")
    )
    assert "0 km" in brings
    shutil.copy(package / "lead.csv", tmp_path)
    (tmp_path / "brings.yaml").write_text(brings, encoding="utf-8")
    played = planner.run(planner.load(tmp_path / "brings.yaml"), replicates=2)
    level = {one.name: played.levels.at(i).mean for i, one in enumerate(played.measures)}
    assert min(level[name] for name in ("buckets", "trips", "fetch_hours_h", "lifts")) > 0


def test_every_class_of_the_kit_is_told() -> None:
    assert [kind for kind in KINDS if f"`{kit_of(kind).__name__}`" not in GUIDE] == []


def links() -> Iterator[str]:
    yield from re.findall(r"\]\((?!http)([^)#]+)\)", GUIDE)


def test_what_the_guide_links_to_is_there() -> None:
    assert [link for link in links() if not (ROOT / "plugins" / link).exists()] == []
