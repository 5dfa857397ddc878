from __future__ import annotations

import numpy as np
import pytest

from planner.engine import Here
from planner.engine.player import Setting
from planner.scenario import InputError, Scenario
from planner.study import Played, Study, run
from tests.study.workshops import gift_fails


def test_one_option_alone_is_what_it_is_in_a_comparison(garden: Scenario, study: Study) -> None:
    found = run(garden, "camp stove", "half price", replicates=6)
    compared = study.values[study.row("camp stove"), 1]
    assert found.values.tobytes() == compared.tobytes()
    assert found.level("profit").mean == study.level("camp stove", "profit", "half price").mean


def test_one_world_can_be_played_again_alone(garden: Scenario, study: Study) -> None:
    found = run(garden, "camp stove", replicate=3)
    assert found.worlds == (3,)
    assert np.array_equal(found.values[:, 0], study.values[study.row("camp stove"), 0, :, 3], equal_nan=True)


def test_a_refused_option_can_be_played_and_says_so(garden: Scenario) -> None:
    assert [one.limit for one in run(garden, "full buckets").refusals] == ["lifting"]


def test_an_unknown_option_names_the_nearest(garden: Scenario) -> None:
    with pytest.raises(InputError, match="there is no option 'camp stov'; did you mean camp stove"):
        run(garden, "camp stov")


def test_a_run_that_fails_has_no_trace_but_a_reason(garden: Scenario) -> None:
    found = run(garden, "gift", traced=True, engine=Here(Setting(garden, 4, gift_fails)))
    assert found.trace is None
    assert len(found.failures) == 1
    assert np.isnan(found.values).all()


def test_only_who_asks_gets_a_trace(garden: Scenario, traced: Played) -> None:
    assert traced.trace is not None
    assert run(garden).trace is None
