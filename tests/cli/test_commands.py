from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from planner import __version__, study
from planner.engine import Here
from planner.engine.player import Setting
from planner.report import saving
from planner.report.folder import OutputError
from planner.study import comparison, single
from tests.study.workshops import gift_fails

Planner = Callable[..., Result]
FILES = [
    "confirmed.csv",
    "failures.csv",
    "index.html",
    "manifest.json",
    "months.csv",
    "options.csv",
    "origins.csv",
    "runs.csv",
    "spread.csv",
    "study.json",
]


def document(result: Result) -> dict[str, object]:
    found: dict[str, object] = json.loads(result.stdout)
    return found


def test_check_prints_what_follows_and_ends_with_0(planner: Planner, garden: Path) -> None:
    found = planner("check", garden)
    assert found.exit_code == 0
    assert "garden.yaml is sound" in found.stdout
    assert found.stderr == ""


def test_check_of_an_option(planner: Planner, garden: Path) -> None:
    assert 'below: "camp stove"' in planner("check", garden, "--option", "camp stove").stdout


@pytest.mark.parametrize(
    "words",
    [
        ["check"],
        ["run"],
        ["run", "--replicates", "2"],
        ["compare", "--replicates", "2"],
    ],
    ids=" ".join,
)
def test_json_is_one_document_and_nothing_else(planner: Planner, garden: Path, words: list[str]) -> None:
    found = planner(words[0], garden, *words[1:], "--format", "json")
    assert found.exit_code == 0
    assert document(found)["scenario"]["title"] == "A pot in the garden"  # type: ignore[index]
    assert found.stderr == ""


def test_run_gives_a_number_for_one_world_and_mean_low_high_for_more(planner: Planner, garden: Path) -> None:
    one = json.loads(planner("run", garden, "--format", "json").stdout)["measures"]
    more = json.loads(planner("run", garden, "--replicates", "3", "--format", "json").stdout)["measures"]
    assert isinstance(one["profit"], float)
    assert more["profit"].keys() == {"mean", "low", "high"}
    for name in (
        "profit", "takings", "yard_receipts", "ingots_kg", "fuel_kg", "hours_h", "melt_hours_h", "lowest_cash",
    ):  # fmt: skip
        assert name in one


def test_run_obeys_option_outlook_seed_and_world(planner: Planner, garden: Path) -> None:
    def profit(*words: str) -> float:
        found = planner("run", garden, "--format", "json", *words)
        assert found.exit_code == 0, found.stderr
        return float(json.loads(found.stdout)["measures"]["profit"])

    plain = profit()
    assert profit() == plain
    assert profit("--option", "gift") == pytest.approx(plain + 900.0)
    assert (
        len({plain, profit("--outlook", "half price"), profit("--seed", "5"), profit("--replicate", "1")})
        == 4
    )


def test_run_writes_a_trace_of_the_first_world_only_and_says_so(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    found = planner("run", garden, "--replicates", "2", "--trace", "told")
    assert found.exit_code == 0
    assert "The trace tells of world 0 only." in found.stdout
    assert (tmp_path / "told" / "README.txt").is_file()
    assert (tmp_path / "told" / "ledger.csv").is_file()


def test_one_world_or_several_but_not_both(planner: Planner, garden: Path) -> None:
    found = planner("run", garden, "--replicates", "2", "--replicate", "1")
    assert found.exit_code == 2
    assert "not both" in found.stderr


def test_compare_writes_into_reports_under_the_scenarios_name(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    found = planner("compare", garden, "--replicates", "2")
    assert found.exit_code == 0
    folder = tmp_path / "reports" / "garden"
    assert sorted(path.name for path in folder.iterdir()) == FILES
    assert "The report: reports/garden/index.html" in found.stdout
    assert "Too few runs to choose: 2 worlds" in found.stdout
    header = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()[0]
    assert header.startswith("option,outlook,replicate,used_for,profit,")


def test_compare_plays_every_outlook_unless_some_are_named(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    def outlooks(*words: str) -> list[str]:
        assert planner("compare", garden, "--replicates", "2", "--out", "o", *words).exit_code == 0
        manifest = json.loads((tmp_path / "o" / "manifest.json").read_text(encoding="utf-8"))
        return list(manifest["outlooks"])

    assert outlooks() == ["expected", "half price"]
    assert outlooks("--outlook", "half price") == ["expected", "half price"]
    assert outlooks("--outlook", "expected") == ["expected"]


def test_the_number_of_worlds_comes_from_the_scenario_unless_it_is_given(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    planner("compare", garden, "--out", "o")
    assert json.loads((tmp_path / "o" / "manifest.json").read_text(encoding="utf-8"))["replicates"] == 6


def test_a_second_comparison_replaces_the_first_and_leaves_other_files(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    planner("compare", garden, "--replicates", "2", "--out", "o")
    (tmp_path / "o" / "notes.txt").write_text("mine")
    planner("compare", garden, "--replicates", "3", "--out", "o")
    assert json.loads((tmp_path / "o" / "manifest.json").read_text(encoding="utf-8"))["replicates"] == 3
    assert sorted(path.name for path in (tmp_path / "o").iterdir()) == sorted([*FILES, "notes.txt"])


def test_another_scenarios_report_is_not_overwritten_unasked(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    assert planner("compare", garden, "--replicates", "2").exit_code == 0
    before = (tmp_path / "reports" / "garden" / "index.html").read_bytes()
    assert planner("compare", garden, "--replicates", "2").exit_code == 0
    (tmp_path / "other").mkdir()
    other = tmp_path / "other" / "garden.yaml"
    other.write_text(garden.read_text().replace("title: A pot in the garden", "title: Two pots"))
    for command in ("compare", "grow"):
        found = planner(command, other, "--replicates", "2")
        assert found.exit_code == 2
        assert (
            'reports/garden holds the report on "A pot in the garden" (garden.yaml), and this' in found.stderr
        )
        assert "--out FOLDER" in found.stderr
    assert (tmp_path / "reports" / "garden" / "index.html").read_bytes() == before
    assert planner("compare", other, "--replicates", "2", "--out", "reports/garden").exit_code == 0


def test_plugins_lists_every_kind(planner: Planner) -> None:
    found = document(planner("plugins", "--format", "json"))
    kinds = {row["kind"] for row in found["models"]}  # type: ignore[index, attr-defined]
    assert kinds == {"pricing", "supply", "weather", "rates", "demand"}
    for row in found["models"]:  # type: ignore[attr-defined]
        assert row["package"]
        assert row["version"]
        assert row["problem"] == ""
        assert all(one["type"] and one["default"] and one["description"] for one in row["settings"])
    text = planner("plugins").stdout
    assert max(map(len, text.splitlines())) <= 80
    assert "settings: private, bulk, post," in text
    assert "core.shops" in text
    assert "measured.tmy3" in text
    assert [line for line in text.splitlines() if line in kinds] == [
        "pricing", "supply", "weather", "rates", "demand",
    ]  # fmt: skip


def test_one_model_is_shown_with_every_key_of_its_settings(planner: Planner) -> None:
    text = planner("plugins", "show", "core.fixed").stdout
    assert "core.fixed: pricing, planner " in text
    assert "tin: a price per mass; default 33 EUR/kg; above 0 EUR/kg" in text
    (row,) = document(planner("plugins", "show", "core.mean_reverting", "--format", "json"))["models"]  # type: ignore[misc, attr-defined]
    assert "together_share" in {one["key"] for one in row["settings"]}
    found = planner("plugins", "show", "core.fixd")
    assert found.exit_code == 2
    assert "there is no model called 'core.fixd'; did you mean core.fixed?" in found.stderr


def test_schema_is_a_json_schema_of_the_file(planner: Planner) -> None:
    found = document(planner("schema"))
    assert found["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert {"options", "melting", "supply"} <= set(found["properties"])  # type: ignore[call-overload]


def test_fields_can_be_printed_put_into_a_page_and_checked(planner: Planner, tmp_path: Path) -> None:
    text = planner("fields").stdout
    assert "`melting.burner.power`" in text
    assert document(planner("fields", "--format", "json"))["markdown"] == text
    page = tmp_path / "page.md"
    assert planner("fields", "--into", page).exit_code == 2
    page.write_text(
        "<!-- generated by `planner fields`: begin -->\n<!-- generated by `planner fields`: end -->\n"
    )
    assert planner("fields", "--check", page).exit_code == 1
    assert planner("fields", "--into", page).exit_code == 0
    assert planner("fields", "--check", page).exit_code == 0
    assert document(planner("fields", "--check", page, "--format", "json")) == {"page": str(page)}
    written = document(planner("fields", "--into", page, "--format", "json"))
    assert written == {"page": str(page), "written": True}
    assert "`melting.burner.power`" in page.read_text(encoding="utf-8")


def test_the_version_is_printed(planner: Planner) -> None:
    assert planner("--version").stdout == f"planner {__version__}\n"


# what is wrong with the input: exit code 2, one plain sentence, nothing written


def test_a_missing_file_is_wrong_input(planner: Planner, tmp_path: Path) -> None:
    for command in ("check", "run", "compare"):
        found = planner(command, "nothing.yaml")
        assert found.exit_code == 2
        assert found.stdout == ""
        assert "nothing.yaml" in found.stderr
        assert len(found.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_all_mistakes_of_a_file_are_told_with_line_and_column(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    text = garden.read_text(encoding="utf-8").replace("power: 10 kW", "powr: 10 kW")
    (tmp_path / "bad.yaml").write_text(text.replace("opening: 300 EUR", "opening: lots"), encoding="utf-8")
    found = planner("compare", "bad.yaml")
    assert found.exit_code == 2
    assert len(re.findall(r"^bad\.yaml:\d+:\d+: ", found.stderr, re.M)) >= 2
    told = document(planner("compare", "bad.yaml", "--format", "json"))
    assert {problem["line"] > 0 for problem in told["problems"]} == {True}  # type: ignore[index, attr-defined]
    assert [path.name for path in tmp_path.iterdir()] == ["bad.yaml"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["run", "--option", "gifd"], "there is no option 'gifd'; did you mean gift?"),
        (["check", "--option", "gifd"], "there is no option 'gifd'; did you mean gift?"),
        (["run", "--outlook", "half"], "there is no outlook 'half'"),
        (["compare", "--outlook", "half pric"], "there is no outlook 'half pric'; did you mean half price?"),
        (["compare", "--replicates", "0"], "Invalid value for '--replicates'"),
        (["compare", "--replicates", "many"], "Invalid value for '--replicates'"),
        (["compare", "--seed", "-1"], "Invalid value for '--seed'"),
        (["run", "--no-such-thing"], "No such option"),
    ],
    ids=lambda part: " ".join(part) if isinstance(part, list) else "",
)
def test_wrong_words_end_with_2_and_say_what_is_right(
    planner: Planner, garden: Path, tmp_path: Path, words: list[str], told: str
) -> None:
    found = planner(words[0], garden, *words[1:])
    assert found.exit_code == 2
    assert told in " ".join(found.stderr.split())
    assert found.stdout == ""
    assert list(tmp_path.iterdir()) == []


def test_a_weather_file_that_is_not_there_is_wrong_input(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    text = garden.read_text(encoding="utf-8")
    text += "\nweather: {model: measured.tmy3, settings: {file: gone.csv}}\n"
    (tmp_path / "w.yaml").write_text(text, encoding="utf-8")
    found = planner("run", "w.yaml")
    assert found.exit_code == 2
    assert "gone.csv" in found.stderr


def test_a_file_where_the_folder_should_be_is_told_before_playing(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("played")

    monkeypatch.setattr(comparison, "compare", never)
    monkeypatch.setattr(single, "run", never)
    (tmp_path / "taken").write_text("a file")
    for words in (["compare", garden, "--out", "taken"], ["run", garden, "--trace", "taken"]):
        found = planner(*words)
        assert found.exit_code == 2
        assert "taken is a file, not a folder" in found.stderr


def test_a_budget_that_is_too_small_says_what_would_do(planner: Planner, garden: Path) -> None:
    found = planner("compare", garden, "--budget", "20", "--out", "o")
    assert found.exit_code == 2
    assert found.stderr.startswith("a budget of 20 runs is not enough: ")
    assert not Path("o").exists()


def test_what_nobody_could_wait_for_is_refused_with_2_and_nothing_is_written(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    for words in (
        ["compare", garden],
        ["run", garden],
        ["stress", garden, "owner.hour_price=2 EUR/h..9 EUR/h"],
    ):
        found = planner(*words, "--replicates", 10**9)
        assert found.exit_code == 2
        assert found.stdout == ""
        assert re.match(r"[\d,]{13,} runs: about \d+ days on \d+ processors?, [\d,]+ GB: ", found.stderr)
    assert list(tmp_path.iterdir()) == []


def test_check_says_what_a_comparison_costs(planner: Planner, garden: Path) -> None:
    told = " ".join(planner("check", garden).stdout.split())
    assert re.search(r"planner compare plays up to 10,060 runs: about \d+ \w+ on 1 processor, \d+ MB", told)
    outlay = document(planner("check", garden, "--format", "json"))["outlay"]
    assert outlay["runs"] == 10_060  # type: ignore[index]


@pytest.mark.parametrize("two", [("--replicates", "--budget"), ("--budget", "--minutes")])
def test_only_one_way_to_say_how_much_is_played(planner: Planner, garden: Path, two: tuple[str, str]) -> None:
    found = planner("compare", garden, two[0], "200", two[1], "200")
    assert found.exit_code == 2
    assert "give one of --replicates, --budget and --minutes" in " ".join(found.stderr.split())


# what fails while running: exit code 1, after writing what there is


def test_failed_runs_are_written_counted_and_end_with_1(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_compare = comparison.compare

    def with_failures(scenario: object, **asked: object) -> object:
        del asked["workers"]
        asked["engine"] = Here(Setting(scenario, 4, gift_fails))  # type: ignore[arg-type]
        return true_compare(scenario, **asked)  # type: ignore[arg-type]

    monkeypatch.setattr(comparison, "compare", with_failures)
    found = planner("compare", garden, "--replicates", "2", "--out", "o")
    assert found.exit_code == 1
    assert "4 of 16 runs failed" in found.stdout
    assert "No recommendation" in found.stdout
    again = f"planner run {garden} --option gift --seed 4 --replicate 0"
    assert again in found.stdout.splitlines()  # whole and alone, so that it can be copied
    assert "gift,expected,0,failed," in (tmp_path / "o" / "failures.csv").read_text(encoding="utf-8")


def test_a_run_that_fails_says_why_and_ends_with_1(
    planner: Planner, garden: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_run = single.run

    def failing(scenario: object, *which: object, **asked: object) -> object:
        del asked["workers"]
        asked["engine"] = Here(Setting(scenario, 4, gift_fails))  # type: ignore[arg-type]
        return true_run(scenario, *which, **asked)  # type: ignore[arg-type]

    monkeypatch.setattr(single, "run", failing)
    found = planner("run", garden, "--option", "gift", "--trace", "told")
    assert found.exit_code == 1
    assert 'Failed: "gift" in world 0: RuntimeError: the present was a trap' in " ".join(found.stdout.split())
    assert "n/a" not in found.stdout  # nothing was played, so nothing is said of it
    assert not Path("told").exists()


def test_a_full_disk_ends_with_1(planner: Planner, garden: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OutputError("the disk is full: nothing was written into o", False)

    monkeypatch.setattr(saving, "write_folder", full)
    found = planner("compare", garden, "--replicates", "2", "--out", "o")
    assert found.exit_code == 1
    assert found.stderr == "the disk is full: nothing was written into o\n"


def test_what_a_model_prints_does_not_get_into_the_document(
    planner: Planner, garden: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_compare = comparison.compare

    def talking(*those: object, **asked: object) -> object:
        print("a model says hello")
        return true_compare(*those, **asked)  # type: ignore[arg-type]

    monkeypatch.setattr(comparison, "compare", talking)
    found = planner("compare", garden, "--replicates", "2", "--format", "json")
    assert document(found)["replicates"] == 2
    assert "a model says hello" in found.stderr


def test_the_commands_call_what_python_calls() -> None:
    assert study.compare is comparison.compare
    assert study.run is single.run


def test_redraw_draws_the_page_of_a_stored_comparison_and_prints_the_same_answer(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    played = planner("compare", garden, "--replicates", "2", "--out", "o").stdout
    (tmp_path / "o" / "index.html").unlink()
    found = planner("redraw", "o")
    assert found.exit_code == 0
    assert (tmp_path / "o" / "index.html").stat().st_size > 500_000
    assert found.stdout.split("The report:")[0] == played.split("The report:")[0]
    assert json.loads(planner("redraw", "o", "--format", "json").stdout)["replicates"] == 2


def test_redraw_of_a_folder_without_a_study_is_wrong_input(planner: Planner, tmp_path: Path) -> None:
    found = planner("redraw", "nowhere")
    assert found.exit_code == 2
    assert "there is no folder nowhere" in found.stderr
    assert not (tmp_path / "nowhere").exists()


def test_ladder_says_what_comes_first_and_writes_the_same_files_for_any_number_of_workers(
    planner: Planner, root: Path, tmp_path: Path
) -> None:
    file = root / "tests" / "study" / "ladder.yaml"
    found = planner("ladder", file, "--sum", "150 EUR", "--workers", "1", "--out", "one")
    assert found.exit_code == 0, found.stderr
    assert "Within 150 EUR" in found.stdout
    assert "the ladder" in found.stdout
    again = planner("ladder", file, "--sum", "150 EUR", "--workers", "2", "--out", "two", "--format", "json")
    assert document(again)["sum"] == 150.0
    for name in ("ladder.csv", "ladder.json"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


@pytest.mark.parametrize(
    ("sum_", "words"), [("150", "has no unit"), ("150 USD", "USD"), ("-5 EUR", "below zero")]
)
def test_a_sum_that_is_none_is_wrong_input(planner: Planner, garden: Path, sum_: str, words: str) -> None:
    found = planner("ladder", garden, "--sum", sum_)
    assert found.exit_code == 2
    assert words in found.stderr


def test_run_plays_an_option_on_top_of_others(planner: Planner, root: Path) -> None:
    file = root / "tests" / "study" / "ladder.yaml"

    def profit(*words: str) -> float:
        found = planner("run", file, "--format", "json", *words)
        assert found.exit_code == 0, found.stderr
        value: float = json.loads(found.stdout)["measures"]["profit"]
        return value

    both = profit("--option", "moulds", "--after", "burner")
    assert both == profit("--after", "burner", "--after", "moulds")
    assert both not in (profit("--option", "moulds"), profit("--option", "burner"))
    lost = planner("run", file, "--after", "burners")
    assert lost.exit_code == 2
    assert "did you mean burner?" in lost.stderr


@pytest.mark.parametrize(
    ("written", "told"),
    [
        (f"melting.stand={'9' * 5_000}", "is too large a number"),
        ("melting.stand=!!python/object/apply:os.system ['exit']", "was understood as text, not as a number"),
        ("weather.model=os.system", "no installed package offers models called 'os'"),
        ("weather.model=../elsewhere", "'../elsewhere' is not the name of a model"),
        ("extends=../secret.yaml", "'extends' is not part of the business"),
        ("melting.__class__=1", "the key '__class__' is not known here"),
    ],
    ids=["number", "tag", "module", "way", "file", "attribute"],
)
def test_what_is_set_on_the_command_line_runs_nothing_and_leads_nowhere(
    written: str, told: str, planner: Planner, garden: Path
) -> None:
    done = planner("run", garden, "--set", written)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in " ".join(done.stderr.split())


def test_set_changes_the_business_alone(planner: Planner, garden: Path) -> None:
    done = planner("run", garden, "--set", "study.patience=3 s")
    assert done.exit_code == 2
    assert "'study' is not part of the business; --set changes the business alone; write it in the file" in (
        " ".join(done.stderr.split())
    )
