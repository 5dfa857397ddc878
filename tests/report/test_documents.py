from __future__ import annotations

import json
from typing import Any

from planner.report.documents import check_document, problem_document, run_document, study_document
from planner.scenario import Scenario
from planner.study import Played, check, run
from tests.report.made import LIFTING, study, three


def strict(document: Any) -> Any:
    return json.loads(json.dumps(document, allow_nan=False))


def test_a_run_of_one_world_gives_each_measure_as_a_number(traced: Played) -> None:
    found = strict(run_document(traced))
    assert isinstance(found["measures"]["profit"], float)
    assert set(found["measures"]) == {one.name for one in traced.measures}


def test_a_run_of_several_gives_mean_low_high_and_null_for_what_has_no_meaning(garden: Scenario) -> None:
    found = strict(run_document(run(garden, "full buckets", replicates=3)))
    profit = found["measures"]["profit"]
    assert profit["low"] < profit["mean"] < profit["high"]
    assert [one["limit"] for one in found["refused"]] == ["lifting"]


def test_a_ratio_without_meaning_is_null(garden: Scenario) -> None:
    played = run(garden)
    played.values[:, 0] = float("nan")
    assert strict(run_document(played))["measures"]["profit_per_hour"] is None


def test_a_comparison_carries_findings_words_levels_and_differences() -> None:
    found = strict(study_document(study(three(), refused={"bigger pot": (LIFTING,)})))
    assert found["findings"]["verdict"] == "best"
    assert found["findings"]["best"] == "bigger burner"
    assert found["advice"][0].startswith("Do this first")
    burner = next(row for row in found["options"] if row["option"] == "bigger burner")
    assert burner["measures"]["profit"].keys() == {"mean", "low", "high"}
    assert burner["differences"]["profit_after_hours"]["low"] > 0
    pot = next(row for row in found["options"] if row["option"] == "bigger pot")
    assert pot["refused"][0]["reason"] == LIFTING.reason


def test_what_follows_without_playing_is_all_there(garden: Scenario) -> None:
    found = strict(check_document(check(garden)))
    assert found["payload"]["load_kg"] == 332.0
    assert {row["method"] for row in found["lifting"]} >= {"by hand", "hoist"}
    assert {row["option"] for row in found["lifting_by_option"]} == set(garden.options)
    assert 0.0 < found["lifting_not_covered_share"] <= 1.0
    assert found["refused"]["full buckets"][0]["limit"] == "lifting"
    assert found["deference"].startswith("These cautions")
    assert any(one["key"] == "lifting" for one in found["cautions"])


def test_a_problem_is_a_document_too() -> None:
    assert problem_document("no", []) == {"error": "no", "problems": []}
