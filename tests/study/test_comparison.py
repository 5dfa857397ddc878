from __future__ import annotations

import shlex
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import t

from planner.engine import Here, Processes
from planner.engine.player import Setting
from planner.scenario import InputError, Scenario
from planner.study import Study, compare, load, outlooks_to_play, tables
from tests.study.workshops import gift_fails, gift_is_nan, gift_kills

NAMES = ("as today", "camp stove", "full buckets", "gift", "lucky charm")


def test_every_option_meets_every_world_under_every_outlook(study: Study) -> None:
    assert study.names == NAMES
    assert study.outlooks == ("expected", "half price")
    assert study.values.shape == (5, 2, len(study.measures), 6)
    assert study.failures == ()
    played = [name for name in NAMES if name != "full buckets"]  # its own settings refuse it
    missing = np.isnan(study.values[:, :, study.column("profit_after_hours")]).any(axis=(1, 2))
    assert [name for name, none in zip(NAMES, missing, strict=True) if not none] == played


def test_two_processes_give_the_same_bits_as_none(garden: Scenario, study: Study) -> None:
    with Processes(Setting(garden, 4), 2, at_once=1) as engine:
        other = compare(garden, outlooks=["expected", "half price"], engine=engine)
    assert other.values.tobytes() == study.values.tobytes()
    assert repr(tables.options(other)) == repr(tables.options(study))
    assert other.findings == study.findings


def test_more_worlds_or_another_outlook_change_no_world_played_before(garden: Scenario, study: Study) -> None:
    more = compare(garden, replicates=8)
    assert more.values[:, 0, :, :6].tobytes() == study.values[:, 0].tobytes()


def test_another_seed_is_another_set_of_worlds(garden: Scenario, study: Study) -> None:
    other = compare(garden, replicates=2, seed=5)
    profit = study.column("profit")
    assert (other.values[0, 0, profit] != study.values[0, 0, profit, :2]).all()


def test_options_are_compared_in_the_same_world(study: Study) -> None:
    gain = study.difference("gift", "profit")
    assert (gain.mean, gain.low, gain.high) == pytest.approx((900.0, 900.0, 900.0))
    assert study.sample.pairing_saved[study.row("gift"), 0] > 1e6
    assert study.difference("lucky charm", "profit").high == 0.0


def test_differences_widen_with_the_number_of_options_and_levels_do_not(study: Study) -> None:
    stove = study.values[1, 0, study.column("profit")] - study.values[0, 0, study.column("profit")]
    half = stove.std(ddof=1) / 6**0.5 * t.ppf(1.0 - 0.05 / 8.0, 5)  # four options against one
    found = study.difference("camp stove", "profit")
    assert found.high - found.mean == pytest.approx(half, rel=1e-4)
    level = study.values[0, 0, study.column("profit")]
    assert study.level("as today", "profit").high - level.mean() == pytest.approx(
        level.std(ddof=1) / 6**0.5 * 2.5706, rel=1e-4
    )


def test_refused_options_are_shown_with_reason_and_are_no_recommendation(study: Study) -> None:
    reasons = study.refusals["full buckets", "expected"]
    assert [one.limit for one in reasons] == ["lifting"]
    assert "60 kg" in reasons[0].reason
    assert "NIOSH" in reasons[0].source
    assert study.findings.leader == "gift"
    assert "full buckets" not in study.findings.contenders
    assert np.isnan(study.level("full buckets", "profit").mean)
    assert study.worlds_of("full buckets") == 0
    assert "full buckets" not in study.findings.failed


def test_what_changes_nothing_is_said_to_be_identical(study: Study) -> None:
    assert study.findings.identical == (("as today", "lucky charm"),)


def test_fifty_worlds_are_enough_for_a_gift(garden: Scenario) -> None:
    found = compare(garden, replicates=50).findings
    assert (found.verdict, found.best, found.runner_up) == ("best", "gift", "as today")


def test_progress_counts_every_run(garden: Scenario) -> None:
    told: list[tuple[int, int]] = []
    compare(garden, replicates=2, progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (8, 8)
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def test_a_failed_run_is_a_row_with_its_reason_and_the_command_that_repeats_it(garden: Scenario) -> None:
    found = compare(garden, replicates=2, engine=Here(Setting(garden, 4, gift_fails)))
    assert [(one.option, one.replicate, one.kind) for one in found.failures] == [
        ("gift", 0, "failed"),
        ("gift", 1, "failed"),
    ]
    first = found.failures[0]
    assert first.summary.startswith("RuntimeError: the present was a trap (")
    assert "tests/study/workshops.py:" in first.summary
    assert "gift_fails" in first.traceback
    words = shlex.split(first.repeat)
    assert words[:2] == ["planner", "run"]
    assert Path(words[2]).name == "garden.yaml"
    assert words[3:] == ["--option", "gift", "--seed", "4", "--replicate", "0"]
    assert np.isnan(found.values[found.row("gift")]).all()
    assert not np.isnan(found.values[0, 0, 0]).any()
    assert (found.findings.verdict, dict(found.findings.failed)) == ("failed runs", {"gift": 2})


def test_money_that_is_not_a_number_is_a_failure(garden: Scenario) -> None:
    found = compare(garden, replicates=1, engine=Here(Setting(garden, 4, gift_is_nan)))
    assert [one.summary for one in found.failures] == ["profit_after_hours came out as nan"]


def test_a_run_that_ends_its_process_is_counted_and_the_others_finish(garden: Scenario) -> None:
    with Processes(Setting(garden, 4, gift_kills), 1) as engine:
        found = compare(garden, replicates=1, engine=engine)
    assert [(one.option, one.replicate, one.kind) for one in found.failures] == [("gift", 0, "crashed")]
    assert not np.isnan(found.values[0, 0, found.column("profit")]).any()


def test_an_unknown_outlook_names_the_nearest(garden: Scenario) -> None:
    with pytest.raises(InputError, match="there is no outlook 'half pric'; did you mean half price"):
        compare(garden, outlooks=outlooks_to_play(garden, ["half pric"]))


def test_what_options_and_outlooks_make_impossible_together_is_told_at_once(tmp_path: Path) -> None:
    text = Path(__file__).with_name("garden.yaml").read_text(encoding="utf-8")
    text = text.replace(
        "outlooks:\n",
        "outlooks:\n"
        "  more alloy: {changes: {pewter.blend_share: {plus: 0.6}}}\n"
        "  more seats: {changes: {vehicle.rear_share: {times: 1.2}}}\n",
    ).replace(
        "options:\n",
        "options:\n"
        "  tin: {changes: {pewter.blend_share: 0.5, vehicle.rear_share: 0.9}}\n"
        "  more tin: {changes: {pewter.blend_share: 0.6}}\n",
    )
    (tmp_path / "odd.yaml").write_text(text, encoding="utf-8")
    odd = load(tmp_path / "odd.yaml")
    with pytest.raises(InputError) as caught:
        compare(odd, outlooks=["expected", "more alloy", "more seats"])
    assert [one.path.partition(": ")[0] for one in caught.value.problems] == [
        "option 'more tin' under outlook 'more alloy'",
        "option 'tin' under outlook 'more alloy'",
        "option 'tin' under outlook 'more seats'",
    ]


def test_the_expected_outlook_is_always_played_first(garden: Scenario) -> None:
    assert outlooks_to_play(garden, ["expected"]) == ("expected",)
    assert outlooks_to_play(garden, ["half price", "expected"]) == ("expected", "half price")
    assert outlooks_to_play(garden) == ("expected", "half price")


def test_no_world_at_all_is_refused(garden: Scenario) -> None:
    with pytest.raises(ValueError, match="at least one world"):
        compare(garden, replicates=0)


def test_one_world_has_levels_but_no_intervals(garden: Scenario) -> None:
    found = compare(garden, replicates=1)
    level = found.level("as today", "profit")
    assert np.isfinite(level.mean)
    assert np.isnan(level.low)
    assert found.findings.verdict == "too few runs"


def test_versions_name_the_program_and_what_its_models_come_from(study: Study) -> None:
    assert {"planner", "python", "numpy", "scipy", "simpy"} <= set(study.subject.versions)
    assert study.subject.digest
    assert [one.key for one in study.cautions].count("water") == 1
    assert not any(one.key == "helper" for one in study.cautions)


def test_a_study_is_two_tidy_data_frames(study: Study) -> None:
    runs, options = study.runs(), study.table()
    assert list(runs.columns[:5]) == ["option", "outlook", "replicate", "used_for", "profit"]
    assert len(runs) == 4 * 2 * 6
    assert set(runs.used_for) == {"comparison"}
    assert len(options) == 5 * 2
    row = options[(options.option == "camp stove") & (options.outlook == "expected")].iloc[0]
    there = runs[runs.outlook == "expected"].pivot_table(index="replicate", columns="option", values="profit")
    assert row.profit_mean == pytest.approx(there["camp stove"].mean())
    assert row.profit_difference_mean == pytest.approx((there["camp stove"] - there["as today"]).mean())
    assert row.profit_difference_low < row.profit_difference_mean < row.profit_difference_high
