"""What is absurdly much is answered before anything is played, in minutes, days, gigabytes."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import InputError, Scenario
from planner.scenario.toll import in_memory, lasting
from planner.study import compare, foresight, load, run
from planner.study.budget import BudgetError
from planner.study.foresight import Outlay, comparison, foresee, outlay, size_of

CROWD = (
    "demand: [{name: a, model: core.returning, settings: {people: 2000, known: 2000, gap: GAP, size: 5 kg, "
    "most: {hard: 5 EUR/kg}}}]\n"
)


def named(number: int) -> str:
    return "{" + ", ".join(f"o{n}: {{}}" for n in range(number)) + "}\n"


class Listener:
    def __init__(self) -> None:
        self.told: list[str] = []

    def __call__(self, done: int, wanted: int) -> None:
        raise AssertionError("played")

    def foretell(self, words: str) -> None:
        self.told.append(words)


def scenario_with(tmp_path: Path, root: Path, more: str) -> Scenario:
    (tmp_path / "garden.yaml").write_text(
        (root / "tests" / "study" / "garden.yaml").read_text("utf-8"), "utf-8"
    )
    (tmp_path / "more.yaml").write_text(f"extends: garden.yaml\ntitle: More\n{more}", "utf-8")
    return load(tmp_path / "more.yaml")


def no_player(*_: object) -> None:
    raise AssertionError("played")


@pytest.mark.parametrize(
    ("more", "worlds", "told"),
    [
        ("", 100_000_000, "1,000,000,000 runs: about "),
        ("options: " + named(490), 1_000_000, "990,000,000 runs: about "),
        ("outlooks: " + named(90), 100_000, "46,000,000 runs: about "),
        (CROWD.replace("GAP", "1 s"), 6, "one run is about 10,368,016,"),
        (CROWD.replace("GAP", "5 h"), 5_000, "that a study may take; fewer options"),
    ],
    ids=["worlds", "options", "outlooks", "buyers", "time"],
)  # fmt: skip
def test_what_nobody_could_wait_for_is_refused_before_a_world_is_drawn(
    more: str, worlds: int, told: str, tmp_path: Path, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.study.playing.Player", no_player)
    scenario = scenario_with(tmp_path, root, more)
    with pytest.raises(BudgetError) as caught:
        compare(scenario, replicates=worlds, outlooks=scenario.outlooks)
    assert told in str(caught.value)


def test_a_single_option_is_refused_as_well(
    tmp_path: Path, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.study.single.Player", no_player)
    with pytest.raises(BudgetError, match="more memory than this machine has to give"):
        run(scenario_with(tmp_path, root, ""), replicates=10**9)


def test_a_scenario_may_allow_for_a_long_time_and_may_ask_for_a_short_one(tmp_path: Path, root: Path) -> None:
    usual = scenario_with(tmp_path, root, CROWD.replace("GAP", "2 days"))
    with pytest.raises(
        BudgetError, match=r"more than the 12 hours that a study may take.*\(study: \{may_take: \d+ h\}\)"
    ):
        foresee(usual, 20_000, 1)
    hasty = scenario_with(tmp_path, root, "study: {may_take: 1 s}")
    with pytest.raises(BudgetError, match="more than the 1 second that a study may take"):
        foresee(hasty, 2_000, 1)
    patient = scenario_with(tmp_path, root, CROWD.replace("GAP", "2 days") + "study: {may_take: 10000 h}")
    foresee(patient, 20_000, 1)


def test_some_minutes_are_told_once_and_before_the_first_run(tmp_path: Path, root: Path) -> None:
    listener, scenario = Listener(), scenario_with(tmp_path, root, "")
    foresee(scenario, 2_000, 2, listener)
    assert listener.told == []
    foresee(scenario, 200_000, 2, listener)
    (told,) = listener.told
    assert told.startswith("To be played: 200,000 runs: about ")
    assert " on 2 processors, " in told
    assert told.endswith("make it less.")
    foresee(scenario, 200_000, 2, lambda done, wanted: None)  # whoever does not want to know is not told


def test_more_of_anything_costs_more(tmp_path: Path, root: Path) -> None:
    def each(more: str) -> float:
        return outlay(scenario_with(tmp_path, root, more), 1_000).processor_s

    usual = each("")
    assert each("calendar: {days: 600}") > 2 * usual
    assert each(CROWD.replace("GAP", "40 days")) > 2 * usual
    assert each(CROWD.replace("GAP", "4 days")) > 2 * each(CROWD.replace("GAP", "40 days"))
    shops = ", ".join(f"s{n}: {{x: 1 km, y: 1 km, gap: 1 days}}" for n in range(200))
    assert each(f"supply: [{{name: town, model: core.shops, settings: {{shops: {{{shops}}}}}}}]") > 2 * usual


def test_a_comparison_counts_every_option_under_every_outlook_and_the_choice(garden: Scenario) -> None:
    met = len(garden.options) * len(garden.outlooks) * garden.study.replicates
    assert comparison(garden).runs == met + 10_000
    assert comparison(garden).workers == 1
    assert size_of(garden.business()).days == 60


def test_memory_grows_with_the_runs_that_are_kept(garden: Scenario) -> None:
    few, many = outlay(garden, 1_000), outlay(garden, 101_000)
    assert 1_500 < many.memory_mb - few.memory_mb < 4_000


def test_where_the_system_does_not_say_how_much_memory_there_is_something_is_assumed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delattr(foresight.os, "sysconf")
    assert foresight.memory_bytes() == foresight.UNKNOWN_BYTES


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.2, "1 second"), (45, "45 seconds"), (150, "2 minutes"), (7_000, "2 hours"), (200_000, "2 days"),
        (1e9, "32 years"),
    ],
)  # fmt: skip
def test_times_are_told_as_people_say_them(seconds: float, words: str) -> None:
    assert lasting(seconds) == words


def test_memory_is_told_as_people_say_it() -> None:
    assert (in_memory(307.2), in_memory(77_000.0)) == ("307 MB", "77 GB")
    assert (
        Outlay(12_000, 480.0, 2, 307.0, 0.0).words == "12,000 runs: about 4 minutes on 2 processors, 307 MB"
    )


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (CROWD.replace("people: 2000", "people: 1000000000").replace("GAP", "5 days"),
         "it must be from 1 to 2000; 1,000,000,000 people would take about 4 days and 1,920 GB a world"),
        ("calendar: {years: 100}", "100 years would take about 2 seconds and 100 MB a world, and nobody knows "),
        ("calendar: {days: 36500}", "36,500 days would take about 2 seconds and 100 MB a world"),
        ("study: {replicates: 1000000}",
         "1,000,000 worlds would take about 6 hours and 30 GB for each option under each outlook"),
        ("options: " + named(997), "write at most 500; 1,001 options would take about 17 minutes and 1,502 MB "),
        ("outlooks: " + named(997), "write at most 100; "),
    ],
    ids=["people", "years", "days", "worlds", "options", "outlooks"],
)  # fmt: skip
def test_whoever_writes_too_much_reads_what_it_would_take(
    more: str, told: str, tmp_path: Path, root: Path
) -> None:
    with pytest.raises(InputError) as caught:
        scenario_with(tmp_path, root, more)
    assert told in str(caught.value)


def test_far_too_many_shops_are_told_what_they_would_take(tmp_path: Path, root: Path) -> None:
    shops = ", ".join(f"s{n}: {{x: 1 km, y: 1 km}}" for n in range(501))
    with pytest.raises(
        InputError, match=r"at most 500; 501 shops would take about 1 second and 1 MB a world"
    ):
        scenario_with(tmp_path, root, f"supply: [{{model: core.shops, settings: {{shops: {{{shops}}}}}}}]")
