"""What melts tell of the burner, of the wind and of the hands: each is known by what it does and the others do not."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from planner.fit.estimate import Block, Estimate, Untold
from planner.fit.melt_course import Courses
from planner.fit.melt_rows import told_by
from planner.fit.melt_scatter import Balance, posterior
from planner.fit.melts import melts
from planner.fit.prior import BURNER_EFFICIENCY, BURNER_POWER, CLEAN_UP, MOULDS, SKIMMING, WIND_HALF
from planner.fit.usual import Usual
from planner.records.records import LINE, Records
from planner.scenario import Scenario
from planner.scenario.inputs import Input, input_of
from planner.study import load
from tests.fit.truths import Knob, covered, played, small

EFFICIENCY, POWER, WIND = (f"melting.burner.{key}" for key in ("efficiency_share", "power", "wind_half"))
DROSS_SHARE = "melting.dross_share"
ROUND, SKIM, CLEANING = "melting.moulds.round", "melting.skim", "melting.clean_up"
KNOBS = (
    Knob(EFFICIENCY, BURNER_EFFICIENCY.sd),
    Knob(POWER, BURNER_POWER.sd),
    Knob(WIND, WIND_HALF.sd),
    Knob(CLEANING, CLEAN_UP.sd),
    Knob(ROUND, MOULDS.sd),
    Knob("melting.moulds.each", MOULDS.sd),
    Knob(SKIM, SKIMMING.sd),
)
"""Everything that is estimated of melts; the time for a single mould is not, but it is drawn too."""


@cache
def stove() -> Scenario:
    return load(Path(__file__).with_name("stove.yaml"))


@cache
def kept(*truths: str, replicate: int = 0) -> Records:
    """A notebook of two months in which things are as said."""
    return played(stove().at([input_of(one) for one in truths]), 7, replicate, weighs_mix=False)


def other(records: Records, **columns: object) -> Records:
    """The same notebook with other values in columns of ``melts``."""
    return Records({**records.tables, "melts": records["melts"].assign(**columns)}, records.remarks)


def found(records: Records) -> dict[str, Estimate]:
    blocks = [block for block in melts(stove(), records) if isinstance(block, Block)]
    return {one.path: one for block in blocks for one in block.estimates}


@cache
def told_of(*truths: str) -> dict[str, Estimate]:
    """What such a notebook tells."""
    return found(kept(*truths))


def off(one: Estimate, factor: float) -> float:
    """How far from a truth, in standard deviations."""
    return (one.shift - np.log(factor)) / one.sd


def test_a_better_burner_is_seen():
    told = told_of(f"{EFFICIENCY}*=1.3")
    assert abs(off(told[EFFICIENCY], 1.3)) < 3.0
    assert told[EFFICIENCY].is_elsewhere
    assert told[EFFICIENCY].told_share > 0.9
    assert abs(off(told[POWER], 1.0)) < 3.0


def test_a_burner_that_burns_more_is_known_by_its_propane():
    told = told_of(f"{POWER}*=1.2")
    assert abs(off(told[POWER], 1.2)) < 3.0
    assert told[POWER].is_elsewhere
    assert abs(off(told[EFFICIENCY], 1.0)) < 3.0


def test_a_draughty_place_is_not_taken_for_a_bad_burner():
    told = told_of(f"{WIND}*=0.6")
    assert abs(off(told[WIND], 0.6)) < 3.0
    assert told[WIND].is_elsewhere
    assert abs(off(told[EFFICIENCY], 1.0)) < 3.0


def test_where_the_wind_is_not_written_down_the_burner_is_less_sure():
    records = kept(f"{WIND}*=0.6")
    with_wind, without = told_of(f"{WIND}*=0.6"), found(other(records, wind_m_s=np.nan, air_c=np.nan))
    assert without[WIND].sd > 1.5 * with_wind[WIND].sd
    assert without[WIND].records == 0
    assert "wind not written down for" in without[EFFICIENCY].note


def test_slow_hands_are_not_taken_for_a_bad_burner():
    told = told_of(f"{CLEANING}*=2", f"{ROUND}*=1.5")
    assert abs(off(told[CLEANING], 2.0)) < 3.0
    assert told[CLEANING].is_elsewhere
    assert abs(off(told[EFFICIENCY], 1.0)) < 3.0


def test_a_few_melts_move_what_was_thought_little():
    """The first tells nothing, since what was left in the pot is not known."""
    records = kept(f"{EFFICIENCY}*=1.3")
    few = Records({**records.tables, "melts": records["melts"].head(2)}, records.remarks)
    told = found(few)
    assert told[EFFICIENCY].sd > 2.0 * told_of(f"{EFFICIENCY}*=1.3")[EFFICIENCY].sd
    assert told[SKIM].told_share < 0.3
    assert told[EFFICIENCY].records == 1


def test_a_melt_far_from_all_others_is_left_out_and_named():
    records = kept()
    lines = np.arange(2, len(records["melts"]) + 2)
    hours = records["melts"]["hours_h"].to_numpy(float).copy()
    hours[5] *= 3.0
    told = found(other(records, hours_h=hours, **{LINE: lines}))
    assert (
        f"left out: hours or propane far from what all others tell (line {lines[5]})" in told[EFFICIENCY].note
    )
    assert told[EFFICIENCY].shift == pytest.approx(told_of()[EFFICIENCY].shift, abs=0.05)


def test_hours_alone_tell_no_power():
    records = kept(f"{POWER}*=1.2")
    told = found(other(records, fuel_kg=np.nan))
    assert told[POWER].records == 0
    assert "no propane is written down" in told[POWER].note
    assert told[POWER].picture is None
    together = told[POWER].shift + told[EFFICIENCY].shift
    assert together == pytest.approx(np.log(1.2), abs=0.12)


def test_a_melt_that_was_broken_off_is_left_out_and_so_is_the_next():
    records = kept()
    ingots = records["melts"]["ingots_kg"].to_numpy(float).copy()
    ingots[4] = 0.0
    note = found(other(records, ingots_kg=ingots))[EFFICIENCY].note
    assert "left out: 1 melt broken off" in note
    assert "left out: 1 melt after one that was broken off" in note


def test_dross_that_is_weighed_tells_how_much_lead_is_lost():
    records = kept("melting.dross_share*=1.5")
    told = found(records)[DROSS_SHARE]
    assert abs(off(told, 1.5)) < 1.645
    assert told.is_elsewhere
    unweighed = other(records, dross_kg=np.nan)
    blocks = melts(stove(), unweighed)
    assert all(
        one.path != DROSS_SHARE for block in blocks if isinstance(block, Block) for one in block.estimates
    )
    (untold,) = (one for one in blocks if isinstance(one, Untold))
    assert "weigh it and write it in melts" in untold.why


@pytest.mark.parametrize(
    ("columns", "told"),
    [(None, "no melt is written down"), ({"hours_h": np.nan}, "without weights, ingots or hours")],
)
def test_a_notebook_that_tells_nothing_of_melts_says_why(columns, told):
    records = kept()
    if columns is None:
        records = Records({**records.tables, "melts": records["melts"].head(0)}, records.remarks)
    else:
        records = other(records, **columns)
    (untold,) = melts(stove(), records)
    assert isinstance(untold, Untold)
    assert told in untold.why


def test_hours_and_propane_as_written_lie_along_what_is_foretold():
    told = told_of(f"{EFFICIENCY}*=1.3")
    seen = told[EFFICIENCY].picture
    assert seen is not None
    assert seen.y / seen.x == pytest.approx(np.ones(seen.x.size), abs=0.15)
    assert seen.before_y[-1] > 1.1 * seen.fitted_y[-1]  # the scenario foretold more hours
    wind = told[WIND].picture
    assert wind is not None
    assert np.all(np.diff(wind.fitted_y) > 0.0)


def test_cylinders_that_feed_too_weak_a_fire_are_taken_to_have_been_changed():
    """Nobody writes down how full they were; but no owner lights a fire that melts nothing before the day is over."""
    draughty = small().at([input_of(f"{WIND}*=0.6")])
    business, usual = draughty.business(), Usual.of(draughty)
    notebook = told_by(played(draughty, 2, 0, weighs_mix=False), business, usual).melts
    hours_h, _ = Courses(business, usual, notebook).foretold(business)
    written_h = np.array([one.hours_h for one in notebook])
    assert (hours_h / written_h).max() < 2.0


def test_what_is_linear_is_estimated_as_a_library_for_least_squares_does():
    """Two equations whose scatter hangs together: generalised least squares of statsmodels, the same covariance given.

    The prior stands among the equations as rows of its own, and the slopes are exact, so that the same must come out.
    """
    chance, number = np.random.default_rng(3), 400
    x = chance.normal(size=(number, 2, 3))
    scatter = np.array([[0.01, 0.006], [0.006, 0.02]])
    y = x @ [0.2, -0.1, 0.05] + chance.multivariate_normal([0.0, 0.0], scatter, size=number)
    prior_sd = np.array([0.3, 0.3, 0.3])
    balance = Balance(prior_sd, np.full(3, 5.0), np.zeros((number, 2, 2)))
    shift, covariance, seen = posterior(lambda at: y - x @ at, balance, np.zeros(3))
    sigma = np.zeros((2 * number + 3, 2 * number + 3))
    sigma[: 2 * number, : 2 * number] = np.kron(np.eye(number), seen.covariance)
    sigma[2 * number :, 2 * number :] = np.diag(prior_sd**2)
    reference = sm.GLS(
        np.concatenate([y.reshape(-1), np.zeros(3)]), np.vstack([x.reshape(-1, 3), np.eye(3)]), sigma
    ).fit()
    assert shift == pytest.approx(reference.params, abs=2e-4)
    assert np.sqrt(np.diag(covariance)) == pytest.approx(reference.bse / np.sqrt(reference.scale), rel=1e-2)
    assert seen.covariance == pytest.approx(scatter, rel=0.25)


def month() -> Scenario:
    """In summer and with cylinders that never grow too cold, so that how full they were makes no difference."""
    return stove().at(
        [
            Input("calendar.start", "2026-06-01"),
            Input("calendar.days", 30),
            Input("melting.cylinder.number", 3),
        ]
    )


def test_intervals_cover_the_truths_of_twenty_simulated_months():
    those = list(covered(month(), KNOBS, seed=1, replicates=range(20), estimators=(melts,)))
    assert len(those) == 20 * 6
    inside = sum(one.inside for one in those)
    assert stats.binomtest(round(inside / 3), 40, 0.9).pvalue > 1e-3, (
        inside
    )  # truths of a month hang together


@pytest.mark.long
def test_intervals_cover_the_truths_of_hundreds_of_simulated_months():
    """A little more often than they promise: single melts are thought to scatter more than those of a run do."""
    those = list(covered(stove(), KNOBS, seed=2, replicates=range(300), estimators=(melts,)))
    assert 0.88 < sum(one.inside for one in those) / len(those) < 0.97
    for knob in KNOBS:
        some = [one for one in those if one.path == knob.path]
        if some:
            inside = sum(one.inside for one in some)
            told = stats.binomtest(inside, len(some), 0.9, alternative="less").pvalue
            assert told > 1e-4, (knob.path, inside, len(some))
