"""What a run is called in a store: all that may change it, and nothing else."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.engine import Batch
from planner.engine.player import Player, Setting
from planner.scenario import Input, Scenario, Taken
from planner.study import keys as keys_of
from planner.study import load
from planner.study.keys import RunKeys, code_digest

Written = Callable[..., Scenario]


@pytest.fixture
def written(root: Path, tmp_path: Path) -> Written:
    """The garden with some of its text replaced, in a folder of its own."""
    shutil.copy(root / "tests" / "study" / "garden.yaml", tmp_path)

    def write(*replaced: tuple[str, str], more: str = "") -> Scenario:
        text = (root / "tests" / "study" / "garden.yaml").read_text()
        for old, new in replaced:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "mine.yaml").write_text(text + textwrap.dedent(more))
        return load(tmp_path / "mine.yaml")

    return write


def key(
    scenario: Scenario, option: str = "as today", outlook: str = "expected", seed: int = 4, **of: object
) -> bytes:
    return RunKeys(scenario, seed).key(option, outlook, int(str(of.get("world", 0))), of.get("at", ()))  # type: ignore[arg-type]


def all_keys(scenario: Scenario) -> dict[tuple[str, str], bytes]:
    keys = RunKeys(scenario, 4)
    return {
        (name, outlook): keys.key(name, outlook, 0, ())
        for name in scenario.options
        for outlook in scenario.outlooks
    }


def test_one_option_more_or_another_value_in_one_leaves_all_other_runs_where_they_are(
    written: Written,
) -> None:
    before = all_keys(written())
    more = all_keys(written(("options:\n", "options:\n  roof:\n    changes: {melting.place: open air}\n")))
    assert before.items() <= more.items()
    other = all_keys(written(("burner.power: 3 kW", "burner.power: 3.1 kW")))
    assert {pair for pair in before if before[pair] != other[pair]} == {
        ("camp stove", outlook) for outlook in ("expected", "half price")
    }


def test_names_titles_comments_and_what_the_study_wants_to_know_are_no_part_of_a_run(
    written: Written,
) -> None:
    before = all_keys(written())
    renamed = all_keys(
        written(
            ("title: A pot in the garden", "# my own\ntitle: Behind the house"),
            ("camp stove", "little stove"),
            ("half price", "bad year"),
            ("worth_caring_about: 20 EUR", "worth_caring_about: 25 EUR"),
        )
    )
    assert list(before.values()) == list(renamed.values())


def test_whatever_may_change_a_run_changes_its_key(written: Written) -> None:
    plain = written()
    keys = [
        key(plain),
        key(plain, world=1),
        key(plain, seed=5),
        key(plain, "camp stove"),
        key(plain, "gift"),
        key(plain, outlook="half price"),
        key(plain, "camp stove", "half price"),
        key(written(("hour_price: 5 EUR/h", "hour_price: 5.000000000000001 EUR/h"))),
        key(written((" EUR", " USD"))),
        key(plain, at=(Input("owner.hour_price", "6 EUR/h"),)),
        key(plain, at=(Input("owner.hour_price", "6.000000000000001 EUR/h"),)),
        key(plain, at=(Input("owner.hour_price", 6.0, "times"),)),
        key(plain, at=(Input("owner.hour_price", 6.0, "plus"),)),
        key(plain, at=(Input("melting.place", "open air"),)),
        key(plain, at=(Taken("camp stove"),)),
        key(plain, at=(Taken("gift"),)),
        key(plain, at=(Taken("gift"), Taken("camp stove"))),
        key(plain, at=(Taken("camp stove"), Taken("gift"))),
        key(plain, "camp stove", at=(Taken("gift"),)),
        key(plain, at=(Taken("camp stove"), Input("owner.hour_price", "6 EUR/h"))),
    ]
    assert len(set(keys)) == len(keys)


def test_runs_with_the_same_key_come_out_the_same(written: Written) -> None:
    scenario = written()
    keys, player = RunKeys(scenario, 4), Player(Setting(scenario, 4))
    seen: dict[bytes, object] = {}
    for at in ((), (Input("owner.hour_price", "6 EUR/h"),)):
        for outlook in scenario.outlooks:
            for one in player(
                Batch(outlook, (0, 1), ("as today", "lucky charm", "camp stove", "gift"), inputs=at)
            ):
                figures = repr(one.measures)
                assert seen.setdefault(keys.key(one.option, outlook, one.replicate, at), figures) == figures
    assert len(seen) == 2 * 2 * 2 * 3  # the lucky charm shares all of its own


def test_what_makes_no_possible_business_has_a_key_too_and_its_run_says_why(written: Written) -> None:
    scenario = written()
    impossible = [(Input("melting.place", "moon"),), (Input("no.such.path", 3),)]
    assert len({key(scenario, at=at) for at in ((), *impossible)}) == 3


def test_a_data_file_counts_by_its_content(root: Path, tmp_path: Path) -> None:
    for one in (root / "plugins" / "fitted-rates").glob("*.[yc]*"):
        shutil.copy(one, tmp_path)
    scenario, file = tmp_path / "fitted-rates.yaml", tmp_path / "lead.csv"
    asked = ((), (Input("owner.hour_price", "6 EUR/h"),), (Input("rates.settings.file", "lead.csv"),))
    before = [key(load(scenario), at=at) for at in asked]
    assert before == [key(load(scenario), at=at) for at in asked]
    text = file.read_text()
    file.write_text(text + "\n")
    after = [key(load(scenario), at=at) for at in asked]
    assert not set(before) & set(after)


def test_where_something_stands_changes_the_words_of_a_failure_and_not_the_run(written: Written) -> None:
    before = RunKeys(written(), 4)
    after = RunKeys(written(("title:", "# a line more\n\ntitle:")), 4)
    assert before.key("gift", "expected", 0, ()) == after.key("gift", "expected", 0, ())
    assert before.told != after.told


def test_the_code_counts_ours_and_that_of_the_packages_that_are_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    builtin, outside = frozenset({"core.shops"}), frozenset({"core.shops", "measured.tmy3"})
    digests = {code_digest(builtin), code_digest(outside)}
    assert code_digest(frozenset({"core.shops", "core.fixed"})) in digests
    home = tmp_path / "planner_measured_weather"
    home.mkdir()
    (home / "year.py").write_text("HOURS = 8760\n")
    monkeypatch.setattr(keys_of, "places_of", lambda module: [home])
    for text in ("HOURS = 8760\n", "HOURS = 8784\n"):
        (home / "year.py").write_text(text)
        digests.add(code_digest.__wrapped__(outside))
    monkeypatch.setattr(keys_of, "version_of", lambda name: "9.9")
    digests |= {code_digest.__wrapped__(outside), code_digest.__wrapped__(builtin)}
    assert len(digests) == 6


def test_what_a_test_or_a_report_says_is_no_code_of_a_run() -> None:
    assert not {"report", "cli", "study", "testing"} & {name.partition("/")[0] for name in keys_of.SOURCES}
