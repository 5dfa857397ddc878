"""What buckets hold: the mix of a lot, how lots vary, and how lead gives way to steel and zinc.

In: uniforms, a mean mix, the hours at which buckets are full. Out: mass shares in the order of PARTS.
Must not know: where buckets come from. Every model of supply, built in or of a package, fills its buckets by this.
"""

from __future__ import annotations

import math
from typing import ClassVar, Final

import numpy as np
from pydantic import Field
from scipy.special import gammaincinv

from planner.scenario.business import SHARES_OF_WEIGHTS, SUM_TOLERANCE
from planner.scenario.clock import Day
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.spread import Spread, SpreadShare
from planner.scenario.units import Share
from planner.world.parts import PARTS, FloatArray, Horizon

YEAR_H: Final = 365.0 * 24.0
KINDS_OF_WEIGHT: Final = 5
"""Clip-on, stick-on, zinc, steel, rubbish: uniforms that the mix of one lot takes."""
_LEAST_SHAPE: Final = 1e-3
"""Smallest shape of a gamma variable that is inverted; below it a part is simply not there."""


class Mix(Section):
    """What the buckets of a shop hold on average, by mass; the five shares sum to 1."""

    SUM_TO_ONE: ClassVar[tuple[str, ...]] = SHARES_OF_WEIGHTS

    clip_on_share: Share = Field(0.40, description="Clip-on weights, lead and steel clip together (assumed).")
    stick_on_share: Share = Field(0.10, description="Stick-on weights, soft lead (assumed).")
    zinc_share: Share = Field(0.08, description="Zinc weights (assumed).")
    steel_share: Share = Field(0.34, description="Steel weights (assumed).")
    rubbish_share: Share = Field(0.08, description="Valve stems, stickers, grit (assumed).")
    clip_share: SpreadShare = Field(
        Spread("uniform", (0.08, 0.15), low=0.0, high=1.0),
        description="Steel clip as a share of a clip-on weight, lot by lot (8 to 15 %, common practice).",
    )
    varies_share: Share = Field(
        0.08,
        description="Standard deviation, lot to lot, of the largest of the five shares; 0: lots are alike (assumed).",
    )

    @property
    def shares(self) -> tuple[float, ...]:
        """Clip-on, stick-on, zinc, steel, rubbish."""
        return (
            self.clip_on_share,
            self.stick_on_share,
            self.zinc_share,
            self.steel_share,
            self.rubbish_share,
        )

    @property
    def concentration(self) -> float | None:
        """Sum of the Dirichlet distribution's parameters; None where all lots are alike."""
        largest = max(self.shares)
        if self.varies_share == 0.0 or largest == 1.0:
            return None
        return largest * (1.0 - largest) / self.varies_share**2 - 1.0

    @property
    def _is_whole(self) -> bool:
        return abs(math.fsum(self.shares) - 1.0) <= SUM_TOLERANCE

    @across(*SHARES_OF_WEIGHTS)
    def _sums_to_one(self) -> None:
        if not self._is_whole:
            total = math.fsum(self.shares)
            raise ValueError(f"the five shares of a mix sum to {total:.6g}; they must sum to 1")

    @across("varies_share", *SHARES_OF_WEIGHTS)
    def _lots_vary_within_what_is_possible(self) -> None:
        concentration = self.concentration if self._is_whole else None
        if concentration is not None and concentration <= 0.0:
            largest = max(self.shares)
            most = math.sqrt(largest * (1.0 - largest))
            raise PartError(
                f"{self.varies_share:g} is too much: with a largest share of {largest:g} it must be below {most:.3g}",
                ["varies_share"],
            )


class FallingLead(Section):
    """How lead gives way to steel and zinc over the years: fields of every supply."""

    lead_falls_a_year_share: Share = Field(
        0.02, description="Lead weights' share of what comes in falls by so much a year (assumed)."
    )
    lead_falls_from: Day | None = Field(
        None, description="Since when it falls. Left out: since the first day."
    )
    falls_to_steel_share: Share = Field(
        0.7, description="Share of what lead loses that goes to steel; the rest goes to zinc (assumed)."
    )

    def fallen_share(self, at_h: FloatArray, horizon: Horizon) -> FloatArray:
        """By how much the share of lead weights has fallen at these hours [share of all that comes in]."""
        since = self.lead_falls_from or horizon.start
        years = np.maximum(at_h - (since - horizon.start).days * 24.0, 0.0) / YEAR_H
        return self.lead_falls_a_year_share * years


def lots(mix: Mix, u: FloatArray) -> FloatArray:
    """Shares of the five kinds of weight in each lot, shape (buckets, 5), each row summing to 1.

    A Dirichlet distribution around the shop's mean, made of gamma variables by their inverse, with the
    concentration that gives the largest part the standard deviation asked for.

    Parameters
    ----------
    mix : Mix
        The mean, and how much lots vary.
    u : FloatArray
        Uniforms, shape (buckets, 5).
    """
    mean = np.array(mix.shares)
    concentration = mix.concentration
    if concentration is None:
        return np.tile(mean, (u.shape[0], 1))
    shape = mean * concentration
    parts = np.where(shape > _LEAST_SHAPE, gammaincinv(np.maximum(shape, _LEAST_SHAPE), u), 0.0)
    total = parts.sum(axis=1, keepdims=True)
    return np.where(total > 0.0, parts / np.where(total > 0.0, total, 1.0), mean)


def parts_of(
    weights: FloatArray, clip_share: FloatArray, fallen_share: FloatArray, to_steel_share: float
) -> FloatArray:
    """Mass shares in the order of PARTS, shape (buckets, 6), after lead gave way to steel and zinc.

    Parameters
    ----------
    weights : FloatArray
        Clip-on, stick-on, zinc, steel, rubbish before that, shape (buckets, 5).
    clip_share : FloatArray
        Steel clip as a share of a clip-on weight, shape (buckets,).
    fallen_share : FloatArray
        What lead has lost, shape (buckets,); no more than there is of it.
    to_steel_share : float
        Share of that which goes to steel; the rest goes to zinc.
    """
    clip_on, stick_on, zinc, steel, rubbish = weights.T
    lead = clip_on + stick_on
    moved = np.minimum(fallen_share, lead)
    stays = 1.0 - moved / np.maximum(lead, 1e-300)
    parts = np.empty((weights.shape[0], len(PARTS)))
    parts[:, 0] = clip_on * stays * (1.0 - clip_share)
    parts[:, 1] = clip_on * stays * clip_share
    parts[:, 2] = stick_on * stays
    parts[:, 3] = zinc + moved * (1.0 - to_steel_share)
    parts[:, 4] = steel + moved * to_steel_share
    parts[:, 5] = rubbish
    return parts
