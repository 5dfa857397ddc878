from __future__ import annotations

import dataclasses
import pickle
from pathlib import Path
from typing import Any

import pytest

from planner.scenario import InputError, Scenario, load
from planner.scenario.reading import read_business
from planner.scenario.tree import Tree
from tests.scenario.stand_in import HEAD, MELTING, People, Registry, Small, load_text

TEXT = """\
summary: Two kinds of buyers.
units: us
study: {seed: 7, replicates: 20, confidence: 90%}
bucket: {normal: {mean: 60 kg, sd: 30 kg}}
demand:
  - name: casters
    model: core.people
    settings: {people: 20, pays: 2 EUR/lb}
  - name: anglers
    model: core.people
    settings: {people: 10}
options:
  as today: {summary: Nothing new.}
  bigger pot:
    summary: A bigger pot.
    start_up_cost: 80 EUR
    resale: 30 EUR
    changes: {melting.pot.diameter: 40 cm}
  no casters:
    changes: {demand: {remove: casters}}
outlooks:
  slump:
    probability: 0.2
    changes:
      demand.casters.settings.people: {times: 0.5}
      demand.anglers.settings.people: {times: 0.5}
""".replace("90%", "0.9")


@pytest.fixture
def scenario(tmp_path: Path) -> Scenario:
    return load_text(tmp_path, TEXT)


def people(scenario: Scenario, option: str, outlook: str) -> list[int]:
    business: Any = scenario.business(option, outlook)
    return [choice.settings.people for choice in business.demand]


def test_a_scenario_says_who_it_is_for_and_how_it_is_studied(scenario: Scenario) -> None:
    assert (scenario.title, scenario.currency, scenario.units) == ("A test", "EUR", "us")
    assert (scenario.study.seed, scenario.study.replicates, scenario.study.confidence) == (7, 20, 0.9)
    assert scenario.study.worth_caring_about == 100


def test_today_and_what_is_expected_are_always_there(scenario: Scenario, tmp_path: Path) -> None:
    assert list(scenario.options) == ["as today", "bigger pot", "no casters"]
    assert list(scenario.outlooks) == ["expected", "slump"]
    assert scenario.options["as today"].summary == "Nothing new."
    assert (scenario.options["bigger pot"].start_up_cost, scenario.options["bigger pot"].resale) == (80, 30)
    bare = load_text(tmp_path, "")
    assert (list(bare.options), list(bare.outlooks)) == (["as today"], ["expected"])


def test_what_is_expected_has_the_rest_of_the_probability(scenario: Scenario, tmp_path: Path) -> None:
    assert scenario.probabilities == {"expected": 0.8, "slump": 0.2}
    tenths = "".join(f"  o{number}: {{probability: 0.1}}\n" for number in range(10))
    all_told = load_text(tmp_path, "outlooks:\n" + tenths).probabilities
    assert all_told is not None
    assert all_told["expected"] == 0.0
    assert load_text(tmp_path, "outlooks: {expected: {summary: So.}, a: {}, b: {}}\n").probabilities is None
    assert load_text(tmp_path, "").probabilities is None


def test_a_file_can_give_the_outlooks_it_takes_over_a_probability(tmp_path: Path) -> None:
    (tmp_path / "below.yaml").write_text(HEAD + MELTING + "outlooks: {a: {}, b: {}}\n", encoding="utf-8")
    above = "extends: below.yaml\noutlooks: {a: {probability: 0.25}, b: none}\n"
    assert load_text(tmp_path, above, head="").probabilities == {"expected": 0.75, "a": 0.25}
    with pytest.raises(InputError, match=r"outlooks\.b: 'b' has no probability, but 'a' has one"):
        load_text(tmp_path, above.replace(", b: none", ""), head="")


def test_a_probability_is_not_missed_that_may_stand_in_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "below.yaml").write_text("outlooks: {b: {probability: 0.1\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_text(tmp_path, "extends: below.yaml\noutlooks: {a: {probability: 0.25}, b: {summary: So.}}\n")
    assert [Path(one.file).name for one in caught.value.problems] == ["below.yaml"]


def test_settings_are_read_by_the_model_they_belong_to(scenario: Scenario) -> None:
    business: Any = scenario.business()
    assert isinstance(business.demand[0].settings, People)
    assert business.demand[0].settings.pays_per_kg.mean == pytest.approx(2 / 0.45359237)
    assert business.weather.settings.wind == 0


def test_an_outlook_works_on_what_the_option_left(scenario: Scenario) -> None:
    assert people(scenario, "as today", "expected") == [20, 10]
    assert people(scenario, "as today", "slump") == [10, 5]
    assert people(scenario, "no casters", "slump") == [5]
    assert scenario.skipped("no casters", "slump") == ("demand.casters.settings.people",)
    assert scenario.skipped("bigger pot", "slump") == ()


def test_each_business_is_made_once(scenario: Scenario) -> None:
    assert scenario.business("bigger pot", "slump") is scenario.business("bigger pot", "slump")


def test_an_unknown_name_is_told_with_the_nearest(scenario: Scenario) -> None:
    with pytest.raises(InputError, match="there is no option 'biger pot'; did you mean bigger pot"):
        scenario.business("biger pot")
    with pytest.raises(InputError, match="there is no outlook 'war'; there are expected, slump"):
        scenario.business("as today", "war")


def test_an_option_and_an_outlook_that_cannot_go_together_are_told_when_asked_for(tmp_path: Path) -> None:
    both = load_text(
        tmp_path,
        "options:\n  a: {changes: {mix: {lead_share: 0.9, steel_share: 0.1}}}\n"
        "outlooks:\n  b: {changes: {mix.lead_share: {times: 1.5}, mix.steel_share: 0.1}}\n",
    )
    with pytest.raises(
        InputError, match=r"7:\d+: option 'a' under outlook 'b': outlooks\.b: mix\.lead_share: 1\.35"
    ):
        both.business("a", "b")


def test_the_values_written_out_read_as_the_same_business(scenario: Scenario) -> None:
    for option in scenario.options:
        for outlook in scenario.outlooks:
            tree = Tree(scenario.variants.written(option, outlook), {}, {})
            context = {"currency": "EUR", "folder": scenario.path.parent}
            assert read_business(tree, Small, Registry(), context).business == scenario.business(
                option, outlook
            )


def test_a_scenario_goes_to_another_process_without_its_registry(scenario: Scenario) -> None:
    same = pickle.loads(pickle.dumps(scenario))
    assert same.business("bigger pot", "slump") == scenario.business("bigger pot", "slump")
    assert same.digest == scenario.digest


def test_a_scenario_cannot_be_changed(scenario: Scenario) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        scenario.title = "Another"  # type: ignore[misc]


def test_the_digest_follows_the_values_and_nothing_else(tmp_path: Path) -> None:
    digests = {
        name: load_text(tmp_path, text, head=head + MELTING).digest
        for name, head, text in [
            ("as it is", HEAD, "bucket: 60 kg\n"),
            ("another way to write it", HEAD, "# a note\nbucket: 60000 g\nstudy: {seed: 5}\n"),
            ("another title", HEAD.replace("A test", "Another"), "bucket: 60 kg\n"),
            ("the default", HEAD, ""),
            ("another value", HEAD, "bucket: 61 kg\n"),
            ("another currency", HEAD.replace("EUR", "USD"), "bucket: 60 kg\n"),
        ]
    }
    alike = {"as it is", "another way to write it", "another title", "the default"}
    assert len({digests[name] for name in alike}) == 1
    assert len(set(digests.values())) == 3


def test_names_are_labels(scenario: Scenario, tmp_path: Path) -> None:
    renamed = load_text(tmp_path, TEXT.replace("bigger pot", "large pot"))
    assert renamed.business_digest("large pot") == scenario.business_digest("bigger pot")
    assert scenario.business_digest("bigger pot") != scenario.business_digest()


def test_a_changed_data_file_is_another_scenario(tmp_path: Path) -> None:
    (tmp_path / "year.csv").write_text("1\n")
    text = "weather: {model: core.still, settings: {file: year.csv}}\n"
    before = load_text(tmp_path, text).digest
    (tmp_path / "year.csv").write_text("2\n")
    assert load_text(tmp_path, text).digest != before


def test_the_folder_a_scenario_lies_in_does_not_matter(tmp_path: Path) -> None:
    digests = set()
    for name in ("here", "there"):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "year.csv").write_text("1\n")
        digests.add(load_text(folder, "weather: {model: core.still, settings: {file: year.csv}}\n").digest)
    assert len(digests) == 1


def test_a_spread_that_is_cut_is_a_warning_at_its_line(scenario: Scenario) -> None:
    assert [str(warning).partition("test.yaml")[2] for warning in scenario.warnings] == [
        (
            ":7:9: bucket: 2.3 % of this normal spread lies outside what is possible (at least 0 kg)"
            " and is set to the bound"
        )
    ]


def test_a_spread_that_only_an_option_brings_is_warned_of_at_the_option(tmp_path: Path) -> None:
    scenario = load_text(tmp_path, "options:\n  a: {changes: {bucket: {normal: {mean: 5 kg, sd: 5 kg}}}}\n")
    assert [(warning.line, warning.path) for warning in scenario.warnings] == [(5, "bucket")]


def test_options_that_do_the_same_are_a_warning(tmp_path: Path) -> None:
    scenario = load_text(
        tmp_path,
        "options:\n  a: {changes: {melting.rounds: 6}}\n  b: {changes: {melting.rounds: {times: 2}}}\n",
    )
    assert [(warning.line, warning.path, warning.message) for warning in scenario.warnings] == [
        (6, "options.b", "this option does the same as 'a'; they will not differ in any result")
    ]


def test_a_base_may_hold_what_the_file_leaves_out(tmp_path: Path) -> None:
    (tmp_path / "base.yaml").write_text(f"{HEAD}{MELTING}options:\n  a: {{changes: {{melting.rounds: 6}}}}\n")
    (tmp_path / "top.yaml").write_text(
        "extends: base.yaml\ntitle: Another\noptions:\n  a: {start_up_cost: 5 EUR}\n"
    )
    scenario = load(tmp_path / "top.yaml", Registry(), business_class=Small)
    assert scenario.title == "Another"
    assert scenario.options["a"].changes == {"melting.rounds": 6}
    assert scenario.options["a"].start_up_cost == 5
    assert [file.name for file in scenario.files] == ["top.yaml", "base.yaml"]


def test_the_file_is_never_written_to(tmp_path: Path) -> None:
    load_text(tmp_path, TEXT)
    before = sorted((path.name, path.stat().st_mtime_ns) for path in tmp_path.iterdir())
    load(tmp_path / "test.yaml", Registry(), business_class=Small).business("bigger pot", "slump")
    assert sorted((path.name, path.stat().st_mtime_ns) for path in tmp_path.iterdir()) == before


def test_the_function_keeps_its_name_whatever_was_imported_first() -> None:
    import planner.scenario.loading

    assert planner.scenario.load is load
