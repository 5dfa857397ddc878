from __future__ import annotations

import multiprocessing
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from planner.engine import Failure, Here, Store, Stored, StoreError, worlds
from planner.engine.batch import Batch, Outcome
from planner.engine.store import Row, file
from planner.scenario import Input
from tests.engine.keeping import ID, TOLD, WORK, Counted, Named, bits, kept_in, ordered, plainly, playing

OTHER = "c" * 64


def rows(path: Path, what: str = "count(*)", table: str = "runs") -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as opened:
        return opened.execute(f"SELECT {what} FROM {table}").fetchall()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "runs.sqlite"


def test_what_was_played_is_found_again_to_the_bit_and_not_played_twice(path: Path) -> None:
    first, second = Counted(), Counted()
    assert bits(playing(path, first)) == bits(plainly())
    assert len(first.played) == 180
    assert bits(playing(path, second)) == bits(plainly())
    assert second.played == []
    assert rows(path) == [(180,)]


def test_a_study_that_was_left_goes_on_where_it_was(path: Path) -> None:
    first, second = Counted(), Counted()
    with kept_in(path, first) as engine:
        for number, _ in enumerate(engine.run(WORK)):
            if number == 20:
                break
    assert len(first.played) < 180
    assert bits(playing(path, second)) == bits(plainly())
    assert len(first.played) + len(second.played) == 180


def test_what_has_come_back_is_kept_when_ctrl_c_comes(path: Path) -> None:
    player = Counted()

    def interrupted() -> None:
        with kept_in(path, player) as engine:
            for number, _ in enumerate(engine.run(WORK)):
                if number == 4:
                    raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert rows(path) == [(len(player.played),)]
    assert len(player.played) == 15


@pytest.mark.parametrize("asked", ["at once", "one by one"])
def test_runs_are_committed_fifty_at_a_time_and_once_a_second(
    asked: str, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [0.0]
    monkeypatch.setattr("planner.engine.store.store.monotonic", lambda: now[0])
    seen = []
    with kept_in(path, Counted()) as engine:
        parts = [WORK] if asked == "at once" else [(batch,) for batch in WORK]
        for number, _ in enumerate(outcomes for part in parts for outcomes in engine.run(part)):
            seen.append(rows(path)[0][0])
            if number == 20:
                now[0] += 1.0
    assert seen[:16] == [0] * 16
    assert seen[16:21] == [51] * 5
    assert seen[21] in (63, 66)  # looking up what comes next is a moment too
    assert seen[-1] in range(180 - 50, 181)


def test_nothing_stored_means_no_process_is_started_for_nothing(path: Path) -> None:
    class NeverEntered(Here):
        def __enter__(self) -> NeverEntered:
            raise AssertionError("there is nothing to play")

    playing(path, Counted())
    with Store(path) as store:
        store.begin(ID, TOLD)
        with Stored(NeverEntered(Counted()), store, Named()) as engine:
            assert bits(ordered(engine.run(WORK))) == bits(plainly())


def test_months_are_played_where_they_were_not_asked_for_before_and_replace_nothing_else(path: Path) -> None:
    short = [replace(one, by_month=False) for one in WORK]
    first, second, third = Counted(), Counted(), Counted()
    with kept_in(path, first) as engine:
        list(engine.run(short))
    with kept_in(path, second) as engine:
        assert bits(ordered(engine.run(WORK))) == bits(plainly())
    assert {outlook for _, outlook, _ in second.played} == {"expected"}
    with kept_in(path, third) as engine:
        assert bits(ordered(engine.run(short))) == bits(plainly(short))
    assert third.played == []
    assert rows(path) == [(180,)]


def test_options_that_do_the_same_share_a_row_and_both_have_their_figures(path: Path) -> None:
    class Alike(Named):
        def key(self, option: str, outlook: str, replicate: int, inputs: tuple[object, ...]) -> bytes:
            return super().key(option[:1], outlook, replicate, ())

    work = worlds(["expected"], range(5), ["pot", "post"])
    for _ in range(2):
        with kept_in(path, Counted(), keys=Alike()) as engine:
            found = ordered(engine.run(work))
        assert [(one.option, one.replicate) for one in found] == [
            (name, world) for world in range(5) for name in ("post", "pot")
        ]
    assert rows(path) == [(5,)]
    with Store(path) as store:
        assert len(store.runs(ID)) == 10


def test_runs_that_raised_are_kept_and_runs_that_the_machine_may_have_ended_are_played_again(
    path: Path,
) -> None:
    failing = {
        ("post", 3): Failure("failed", "KeyError: wind", "weather.py:3"),
        ("post", 4): Failure("failed", "it did not end within 60 s", late=True),
        ("post", 5): Failure("crashed", "the process that played it ended"),
    }
    before = playing(path, Counted(failing))
    again = Counted()
    after = playing(path, again)
    assert sorted(again.played) == [
        ("post", outlook, w) for outlook in ("expected", "hard winter") for w in (4, 5)
    ]
    failed = [one for one in after if one.failure]
    assert failed == [one for one in before if one.replicate == 3 and one.failure]
    last = Counted()
    assert playing(path, last) == after or bits(playing(path, last)) == bits(after)
    assert last.played == []


def test_a_failure_whose_words_would_differ_now_is_played_again(path: Path) -> None:
    class Moved(Named):
        told = "my.yaml with a line more"

    failing = {("post", 3): Failure("failed", "my.yaml:12: KeyError: wind")}
    playing(path, Counted(failing))
    moved = {("post", 3): Failure("failed", "my.yaml:13: KeyError: wind")}
    player = Counted(moved)
    with kept_in(path, player, keys=Moved()) as engine:
        found = ordered(engine.run(WORK))
    assert {one.failure.summary for one in found if one.failure} == {"my.yaml:13: KeyError: wind"}
    assert len(player.played) == 2


def test_a_study_that_goes_on_from_another_s_runs_plays_only_what_is_new(path: Path) -> None:
    playing(path, Counted())
    more = worlds(["expected", "hard winter"], range(30), ["as today", "bigger pot", "post", "roof"])
    player = Counted()
    with kept_in(path, player, digest=OTHER) as engine:
        list(engine.run(more))
    assert {option for option, _, _ in player.played} == {"roof"}


def test_a_removed_study_takes_with_it_only_what_no_other_needs(path: Path) -> None:
    playing(path, Counted())
    more = worlds(["expected"], range(40), ["as today"])
    with kept_in(path, Counted(), digest=OTHER) as engine:
        list(engine.run(more))
    assert rows(path) == [(190,)]
    with Store(path) as store:
        assert [one.kept for one in store.studies()] == [180, 40]
        assert store.remove(ID) == 150
        assert [(one.digest, one.kept) for one in store.studies()] == [(OTHER, 40)]
        assert len(store.runs(OTHER)) == 40
        assert store.remove(OTHER) == 40
    assert all(
        rows(path, table=table) == [(0,)] for table in ("runs", "studies", "labels", "study_runs", "files")
    )


def test_room_is_given_back_to_the_disk_when_a_study_is_removed(path: Path) -> None:
    with kept_in(path, Counted()) as engine:
        list(engine.run(worlds(["expected"], range(500), ["as today"])))
    before = path.stat().st_size
    with Store(path) as store:
        store.remove(ID)
    assert path.stat().st_size < before / 3


def test_runs_of_a_study_are_told_by_option_outlook_inputs_and_world(path: Path) -> None:
    batch = Batch("expected", (7,), ("post",), inputs=(Input("owner.hour_price", "6 EUR/h"),))
    with kept_in(path, Counted()) as engine:
        list(engine.run([batch]))
    with Store(path) as store:
        ((label, world, row),) = store.runs(ID)
    assert (tuple(label), world) == (("post", "expected", "owner.hour_price=6 EUR/h"), 7)
    assert row.numbers[0] == 7.0


def test_the_same_study_is_not_played_twice_at_once(path: Path) -> None:
    with kept_in(path, Counted()):
        with (
            pytest.raises(StoreError, match="this very study is being played already"),
            kept_in(path, Counted()),
        ):
            pass
        with Store(path) as store, pytest.raises(StoreError, match="this study is being played; stop it"):
            store.remove(ID)
    assert len(playing(path, Counted())) == 180
    assert sorted(one.name for one in path.parent.iterdir()) == ["runs.sqlite", "runs.sqlite.lock"]


def _play_a_part(path: Path, digest: str, first: int) -> None:
    work = worlds(["expected"], range(first, first + 400), ["as today", "post"])
    with kept_in(path, Counted(), digest=digest) as engine:
        list(engine.run(work))


def test_two_studies_write_into_one_store_at_once(path: Path) -> None:
    context = multiprocessing.get_context("fork")
    both = [
        context.Process(target=_play_a_part, args=(path, name * 64, first))
        for name, first in (("d", 0), ("e", 200))
    ]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert [one.exitcode for one in both] == [0, 0]
    assert rows(path) == [(1200,)]
    with Store(path) as store:
        assert [one.kept for one in store.studies()] == [800, 800]
        for name in "de":
            assert len({(label, world) for label, world, _ in store.runs(name * 64)}) == 800


def test_what_is_committed_is_on_the_disk_and_others_may_read_meanwhile(path: Path) -> None:
    playing(path, Counted())
    with closing(file.connect(path)) as opened:
        assert opened.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert opened.execute("PRAGMA synchronous").fetchone() == (2,)
        assert opened.execute("PRAGMA application_id").fetchone() == (file.APPLICATION_ID,)
        assert opened.execute("PRAGMA user_version").fetchone() == (file.VERSION,)


def test_where_there_can_be_no_log_a_journal_keeps_transactions_safe(path: Path) -> None:
    file.make(path)
    with closing(sqlite3.connect(path)) as opened:
        assert opened.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        opened.execute("PRAGMA journal_mode=DELETE")
    with closing(sqlite3.connect(f"{path.as_uri()}?vfs=unix-dotfile", uri=True)) as opened:
        assert file.journal(opened) == "delete"


def test_a_row_says_by_its_checksum_that_anything_in_it_was_changed() -> None:
    row = Row(b"k" * 32, 0, b"1" * 16, b"2" * 8, "")  # type: ignore[arg-type]
    changed = [
        replace(row, key=b"j" * 32),
        replace(row, status=1),
        replace(row, measures=b"1" * 8),
        replace(row, months=None),
        replace(row, months=b""),
        replace(row, measures=b"1" * 16 + b"2" * 8, months=b""),
        replace(row, failure="x"),
    ]
    assert len({one.checksum for one in (row, *changed)}) == 8


def test_an_outcome_of_nothing_is_no_outcome() -> None:
    run = Outcome("post", "expected", 3, ())
    row = Row(b"k" * 32, 0, b"", None, "")  # type: ignore[arg-type]
    assert row.outcome(run, by_month=True, told="") is None
