from __future__ import annotations

from math import nan

import numpy as np
import pytest

from planner.study.findings import Field, Findings, Rule, choose, identical_groups
from planner.study.intervals import FloatArray

N = 60
WAVES = 300.0 * np.sin(np.arange(200.0))
"""Good and bad years that all options share."""


def noise(k: int, size: float) -> FloatArray:
    return size * np.cos(np.arange(200.0) * (1.0 + 0.37 * k) + k)


def played(
    values: dict[str, FloatArray],
    refused: tuple[str, ...] = (),
    identical: tuple[tuple[str, ...], ...] = (),
    worth: float = 50.0,
) -> Findings:
    rows = np.array(list(values.values()))
    those = Field("expected", "profit_after_hours", tuple(values), rows, refused, identical)
    return choose(those, Rule("as today", 0.95, worth))


def three(n: int = N) -> dict[str, FloatArray]:
    return {
        "as today": 100.0 + WAVES[:n],
        "bigger burner": 400.0 + WAVES[:n] + noise(1, 40.0)[:n],
        "bigger pot": 50.0 + WAVES[:n] + noise(2, 40.0)[:n],
    }


def test_years_that_swing_more_than_options_differ_still_tell_them_apart_when_paired() -> None:
    found = played(three())
    assert (found.verdict, found.best, found.runner_up) == ("best", "bigger burner", "as today")
    assert found.gain is not None
    assert 250 < found.gain.low < 300 < found.gain.high < 350
    assert found.contenders == ()


def test_fewer_than_fifty_worlds_never_choose() -> None:
    found = played(three(49))
    assert (found.verdict, found.best, found.leader) == ("too few runs", None, "bigger burner")
    assert played(three(50)).verdict == "best"


def test_as_today_may_win() -> None:
    values = three() | {"bigger burner": -200.0 + WAVES[:N] + noise(1, 40.0)[:N]}
    found = played(values)
    assert (found.verdict, found.best, found.gain) == ("best", "as today", None)
    assert found.ahead is not None
    assert found.ahead.low > 0.0


def test_noise_larger_than_the_difference_is_no_winner_and_says_how_many_more() -> None:
    values = three() | {"post": 410.0 + WAVES[:N] + noise(5, 400.0)[:N]}
    found = played(values)
    assert (found.verdict, found.best) == ("cannot tell", None)
    assert set(found.contenders) == {"bigger burner", "post"}
    assert found.runs_needed is not None
    assert found.runs_needed > N


def test_a_difference_too_small_to_care_about_is_no_reason_to_change() -> None:
    values = {"as today": 100.0 + WAVES[:N], "thermometer": 120.0 + WAVES[:N] + noise(1, 5.0)[:N]}
    found = played(values, worth=50.0)
    assert (found.verdict, found.best, found.close) == ("best", "as today", ("as today",))
    assert found.ahead is not None
    assert found.ahead.mean == pytest.approx(-20.0, abs=2.0)
    assert played(values, worth=5.0).best == "thermometer"


def test_two_changes_as_good_as_each_other_are_not_told_apart() -> None:
    values = three() | {"other burner": 395.0 + WAVES[:N] + noise(3, 10.0)[:N]}
    found = played(values)
    assert found.verdict == "cannot tell"
    assert found.contenders == ("bigger burner", "other burner")


def test_an_option_that_breaks_a_hard_limit_is_never_recommended_however_much_it_earns() -> None:
    found = played(three(), refused=("bigger burner",))
    assert found.best == "as today"
    assert played(three(), refused=("as today", "bigger burner", "bigger pot")).verdict == "nothing allowed"


def test_a_refused_as_today_is_still_what_others_are_compared_with() -> None:
    found = played(three(), refused=("as today",))
    assert found.best == "bigger burner"
    assert found.runner_up == "bigger pot"
    assert found.gain is not None
    assert found.gain.mean == pytest.approx(300.0, abs=15.0)


def test_more_than_one_failed_run_in_a_hundred_blocks_a_recommendation() -> None:
    values = three()
    values["bigger pot"][3] = nan
    found = played(values)
    assert (found.verdict, found.best, dict(found.failed)) == ("failed runs", None, {"bigger pot": 1})
    plenty = three(200)
    plenty["bigger pot"][3] = nan
    assert played(plenty).best == "bigger burner"
    nothing = {"as today": np.full(N, nan)}
    assert played(nothing).verdict == "failed runs"


def test_failed_runs_of_a_refused_option_block_nothing() -> None:
    values = three() | {"full buckets": np.full(N, nan)}
    found = played(values, refused=("full buckets",))
    assert (found.verdict, found.best, found.blocked_by) == ("best", "bigger burner", None)
    assert dict(found.failed) == {"full buckets": N}
    values["bigger pot"][:2] = nan
    found = played(values, refused=("full buckets",))
    assert (found.verdict, found.blocked_by) == ("failed runs", "bigger pot")


def test_options_that_never_differ_are_named_and_do_not_block_each_other() -> None:
    values = three() | {"lucky charm": 400.0 + WAVES[:N] + noise(1, 40.0)[:N]}
    groups = identical_groups(tuple(values), np.array(list(values.values())))
    assert groups == (("bigger burner", "lucky charm"),)
    without_any = np.full((2, 3, N), nan)
    assert identical_groups(("fails", "fails too"), without_any) == ()
    found = played(values, identical=groups)
    assert (found.best, found.identical) == ("bigger burner", groups)
    assert played(values, ("bigger burner",), groups).best == "lucky charm"


def test_alone_as_today_is_all_there_is() -> None:
    found = played({"as today": 100.0 + WAVES[:N]})
    assert (found.verdict, found.best, found.runner_up, found.ahead) == ("best", "as today", None, None)
