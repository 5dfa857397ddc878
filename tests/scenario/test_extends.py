from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from planner.scenario import InputError, load
from planner.scenario.compose import compose
from planner.scenario.extends import merge, read_whole
from planner.scenario.tree import Place
from tests.scenario.stand_in import HEAD, MELTING, Registry, Small


def merged(base: str, over: str) -> Any:
    return merge(compose(base, "base.yaml"), compose(over, "over.yaml")).value


def test_a_file_says_only_what_differs() -> None:
    assert merged(
        "melting: {power: 9 kW, pot: {lid: true}}\ntitle: A\n", "melting: {pot: {lid: false}}\n"
    ) == {
        "melting": {"power": "9 kW", "pot": {"lid": False}},
        "title": "A",
    }


@pytest.mark.parametrize(
    ("base", "over"),
    [
        ("x: [1, 2]", "x: [3]"),
        ("x: {normal: {mean: 1, sd: 2}}", "x: {gamma: {mean: 3, sd: 1}}"),
        ("x: {model: a.b, settings: {y: 1}}", "x: {model: a.c}"),
        ("x: {changes: {a.b: {times: 2}}}", "x: {changes: {a.b: {plus: 3}}}"),
        ("x: {y: 1}", "x: 5"),
        ("x: 5", "x: {y: 1}"),
    ],
)
def test_what_makes_no_sense_in_parts_is_replaced_whole(base: str, over: str) -> None:
    assert merged(base, over) == compose(over, "o").value


def test_a_link_that_leads_to_itself_is_told(tmp_path: Path) -> None:
    (tmp_path / "ring.yaml").symlink_to("ring.yaml")
    (tmp_path / "a.yaml").write_text("extends: ring.yaml\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"'ring\.yaml' cannot be found in the scenario's folder"):
        load(tmp_path / "a.yaml", Registry(), business_class=Small)


def test_the_same_kind_of_spread_and_model_may_be_changed_in_part() -> None:
    assert merged("x: {normal: {mean: 1, sd: 2}}", "x: {normal: {sd: 3}}") == {
        "x": {"normal": {"mean": 1, "sd": 3}}
    }
    assert merged("x: {model: a.b, settings: {y: 1, z: 2}}", "x: {settings: {y: 3}}") == {
        "x": {"model": "a.b", "settings": {"y": 3, "z": 2}}
    }


def test_each_key_stands_in_the_file_that_says_it() -> None:
    tree = merge(compose("a: 1\nb: {c: 2, d: 3}\n", "base.yaml"), compose("b: {c: 5}\n", "over.yaml"))
    assert tree.place(("a",)).file == "base.yaml"
    assert tree.place(("b", "c")) == Place("over.yaml", 1, 8)
    assert tree.place(("b", "d")) == Place("base.yaml", 2, 14)


def test_a_chain_of_bases_is_followed_from_folder_to_folder(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "top.yaml").write_text("extends: data/mid.yaml\na: 1\n")
    (tmp_path / "data" / "mid.yaml").write_text("extends: low.yaml\na: 2\nb: 2\n")
    (tmp_path / "data" / "low.yaml").write_text("a: 3\nb: 3\nc: 3\n")
    whole = read_whole(tmp_path / "top.yaml")
    tree, files = whole.tree, whole.files
    assert {key: tree.value[key] for key in "abc"} == {"a": 1, "b": 2, "c": 3}
    assert [file.name for file in files] == ["top.yaml", "mid.yaml", "low.yaml"]
    assert tree.place(("c",)).file == str(tmp_path / "data" / "low.yaml")


def test_an_option_or_an_outlook_that_is_none_is_left_out() -> None:
    base = "options: {a: {summary: x}, b: {summary: y}}\noutlooks: {c: {}, d: {}}\n"
    assert merged(base, "options: {a: none}\noutlooks: none\n") == {"options": {"b": {"summary": "y"}}}
    assert merged("owner: {hours: {sat: '9:00'}}", "owner: {hours: none}") == {"owner": {"hours": "none"}}


def test_what_one_file_leaves_out_another_above_it_may_offer_again(tmp_path: Path) -> None:
    (tmp_path / "low.yaml").write_text("options: {a: {summary: low}, b: {}}\n")
    (tmp_path / "mid.yaml").write_text("extends: low.yaml\noptions: {a: none}\n")
    (tmp_path / "top.yaml").write_text("extends: mid.yaml\noptions: {a: {resale: 5 EUR}}\n")
    tree = read_whole(tmp_path / "top.yaml").tree
    assert tree.value["options"] == {"b": {}, "a": {"resale": "5 EUR"}}
    assert tree.place(("options", "a", "resale")).file == str(tmp_path / "top.yaml")
    (tmp_path / "top.yaml").write_text("extends: mid.yaml\noptions: {a: none}\n")
    (problem,) = read_whole(tmp_path / "top.yaml").problems
    assert re.search(
        r"top.yaml:2:14: options.a: none leaves out .* it offers no such thing; delete the line", str(problem)
    )


def test_what_is_wrong_in_a_base_says_who_takes_it_over(tmp_path: Path) -> None:
    (tmp_path / "low.yaml").write_text("a b\n")
    (tmp_path / "top.yaml").write_text(f"extends: low.yaml\n{HEAD}{MELTING}")
    with pytest.raises(
        InputError, match=r"^.*low.yaml:1:1: .* \(taken over by .*top.yaml through extends\)$"
    ):
        load(tmp_path / "top.yaml", Registry(), business_class=Small)


def test_a_file_whose_base_cannot_be_read_is_not_said_to_lack_what_may_stand_there(tmp_path: Path) -> None:
    (tmp_path / "top.yaml").write_text("extends: gone.yaml\nowner: {hours: 25:00}\n")
    with pytest.raises(InputError) as caught:
        load(tmp_path / "top.yaml", Registry(), business_class=Small)
    assert [(one.line, one.path) for one in caught.value.problems] == [(1, "extends"), (2, "owner.hours")]


def test_a_currency_of_its_own_is_fine_where_no_amount_is_taken_over(tmp_path: Path) -> None:
    (tmp_path / "low.yaml").write_text(f"currency: EUR\n{MELTING}costs: [{{name: a, amount: 5 EUR}}]\n")
    (tmp_path / "top.yaml").write_text(
        "extends: low.yaml\ntitle: A test\ncurrency: GBP\ncosts: [{name: a, amount: 4 GBP}]\n"
    )
    assert load(tmp_path / "top.yaml", Registry(), business_class=Small).currency == "GBP"


def test_a_base_that_is_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "inside").mkdir()
    (tmp_path / "outside.yaml").write_text("a: 1\n")
    (tmp_path / "inside" / "base.yaml").symlink_to(tmp_path / "outside.yaml")
    (tmp_path / "inside" / "top.yaml").write_text("extends: base.yaml\n")
    (problem,) = read_whole(tmp_path / "inside" / "top.yaml").problems
    assert "is a link that leads out of the scenario's folder" in problem.message


def test_an_endless_chain_is_cut(tmp_path: Path) -> None:
    for number in range(12):
        (tmp_path / f"{number}.yaml").write_text(f"extends: {number + 1}.yaml\n")
    (problem,) = read_whole(tmp_path / "0.yaml").problems
    assert problem.message.startswith("more than 10 files extend one another: 0.yaml -> 1.yaml -> ")


def test_a_file_that_is_a_link_to_itself_is_told(tmp_path: Path) -> None:
    (tmp_path / "ring.yaml").symlink_to("ring.yaml")
    with pytest.raises(
        InputError, match=r"ring\.yaml: cannot be opened \(Too many levels of symbolic links\)"
    ):
        load(tmp_path / "ring.yaml", Registry(), business_class=Small)
