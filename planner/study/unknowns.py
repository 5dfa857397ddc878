"""What not knowing inputs does to a choice: how much of the gain's spread it brings about, and what to record next.

In: a comparison whose worlds drew estimates, and these estimates. Out: ``Unknowns``. Must not know: words, files.

All that the comparison played under its first outlook is used: the worlds that all options met, those of the choice
and the fresh ones. What was drawn in a world is drawn again by its number.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan, nan
from typing import Final

import numpy as np

from planner.scenario.estimates import Drawn, Estimates
from planner.study.information import explained, worth
from planner.study.intervals import FloatArray
from planner.study.study import Study
from planner.study.unknown import ORDER, Told, Unknown, Unknowns, record_of
from planner.world.draw import Draw
from planner.world.unsure import drawn_z

USUAL_Z: Final = 1.6448536269514722
"""Nine times in ten."""
NEAR_SDS: Final = 2.0
"""An option that lags further behind the best one, in standard deviations of the difference from world to world, is
taken to be overtaken by it whatever is known (assumed)."""


def unknowns_of(study: Study, estimates: Estimates) -> Unknowns | None:
    """What the worlds of a comparison tell of them; None where everything is taken to be known."""
    if not estimates:
        return None
    gains, worlds = _gains(study)
    z = np.array([drawn_z(estimates, Draw(study.subject.seed, world)) for world in worlds]).T
    z = z.reshape(len(estimates), len(worlds))
    option = _in_question(study, gains)
    gain = gains.get(option, np.full(len(worlds), nan))
    there = ~np.isnan(gain)
    near = _near(gains)
    found = [
        _unknown(study, one, z[k], near, (z[k : k + 1, there], gain[there]))
        for k, one in enumerate(estimates.drawn)
    ]
    found.sort(key=_rank)
    return Unknowns(option, int(there.sum()), explained(z[:, there], gain[there]), tuple(found))


def _rank(one: Unknown) -> tuple[int, float, float]:
    worth = np.nan_to_num(one.worth) if one.told == "worth it" else 0.0
    return ORDER.index(one.told), -worth, -np.nan_to_num(one.share)


def _gains(study: Study) -> tuple[Mapping[str, FloatArray], list[int]]:
    """What each allowed option brings beside the base, in every world that was played; nan where it was not."""
    base = study.subject.base
    parts = list(study.samples.values())
    worlds = [part.first_world + i for part in parts for i in range(part.worlds)]
    gains = {}
    for name in study.names:
        if name == base or study.refusals[name, study.outlooks[0]]:
            continue
        rows = [
            part.of(name) - part.of(base)
            if name in part.options and base in part.options
            else np.full(part.worlds, nan)
            for part in parts
        ]
        gains[name] = np.concatenate(rows)
    return {name: row for name, row in gains.items() if not np.isnan(row).all()}, worlds


def _in_question(study: Study, gains: Mapping[str, FloatArray]) -> str:
    """The option whose gain the choice hangs on."""
    found = study.findings
    for name in (found.best, found.leader, found.runner_up):
        if name in gains and name is not None:
            return name
    return max(gains, key=lambda name: float(np.nanmean(gains[name])), default="")


def _near(gains: Mapping[str, FloatArray]) -> FloatArray:
    """Gains of those options that might be best if more were known."""
    rows = list(gains.values())
    if not rows:
        return np.empty((0, 0))
    best = max((*rows, np.zeros_like(rows[0])), key=lambda row: float(np.nanmean(row)))
    kept = []
    for row in rows:
        behind = best - row
        both = behind[~np.isnan(behind)]
        if row is best or (both.size > 1 and both.mean() <= NEAR_SDS * both.std()):
            kept.append(row)
    return np.array(kept).reshape(len(kept), rows[0].size)


def _unknown(
    study: Study, one: Drawn, z: FloatArray, near: FloatArray, of_gain: tuple[FloatArray, FloatArray]
) -> Unknown:
    value = worth(z, near, study.subject.seed)
    return Unknown(
        one.name,
        one.path,
        one.way,
        one.axis.unit if one.way == "plus" else "",
        one.records,
        one.method,
        one.at(-USUAL_Z),
        one.at(USUAL_Z),
        record_of(one.paths[0]),
        explained(*of_gain),
        value.money,
        value.noise,
        _told(value.money, value.noise, study.subject.worth_caring_about),
    )


def _told(money: float, noise: float, caring: float) -> Told:
    if isnan(money):
        return "cannot tell"
    if money > noise and money >= caring:
        return "worth it"
    return "hardly" if max(money, noise) < caring else "cannot tell"
