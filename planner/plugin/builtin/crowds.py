"""Demand models ``core.returning``, ``core.bulk`` and ``core.post``: people whose needs come back.

In: settings of one class of buyers. Out: ``Crowd``: for each person a sequence of needs with gap, size, the most they
would pay, patience and what they make of good or bad service.
Must not know: the owner's stock, prices, or which needs are served.

Rows are people. Their needs are drawn in blocks of `BLOCK` needs, a stream a block, so that neither another person,
nor a longer horizon, nor a busier season changes a number that was there before.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf
from typing import Final

import numpy as np
from scipy.special import ndtri

from planner.plugin.builtin.crowd_settings import (
    BulkSettings,
    CrowdSettings,
    Most,
    PostSettings,
    ReturningSettings,
)
from planner.plugin.builtin.pace import pace
from planner.plugin.protocol import Provider
from planner.scenario.spread import Spread
from planner.world.draw import Draw
from planner.world.parts import ALLOYS, Alloy, Channel, Crowd, FloatArray, Horizon

BLOCK: Final = 8
"""Needs of a person that are drawn at once."""
MOST_NEEDS: Final = 4096
"""Needs of one person in one horizon; beyond this an input is taken for a mistake (assumed)."""
MOST_OF_A_CLASS: Final = 500_000
"""Needs of everybody in a class together; more are refused before they are drawn (assumed; 80 MB)."""
_GAP, _SIZE, _NOISE, _PATIENCE, _SHOWS_UP, _FRIEND, _TIN, _TIN_KG = range(8)
_PAYS, _RETURNS, _MISSES, _FIRST = range(4)
_SMALLEST: Final = 2.0**-53


class People:
    """A class of buyers; see the module."""

    def __init__(self, settings: CrowdSettings, channel: Channel, size: Spread, least_kg: float) -> None:
        self.settings = settings
        self.channel = channel
        self.size = size
        """How much is wanted at a time [kg]; parcels where they are posted."""
        self.least_kg = least_kg
        self.parcel_kg = self.parcel_fee = self.parcel_h = 0.0
        self._most = _spreads(settings.most)

    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        """Everybody in reach, with more needs than the horizon has room for."""
        settings = self.settings
        operational_h = self.operational_h(horizon)
        person = draw.uniform("people", (settings.people, 4))
        u, gap_h = self._needs(draw, person[:, _FIRST], float(operational_h[-1]))
        wants_tin = u[:, :, _TIN] < settings.tin_wanting_share
        return Crowd(
            name="",
            channel=self.channel,
            known=settings.known,
            operational_h=operational_h,
            gap_h=gap_h,
            size_kg=self._size_kg(u[:, :, _SIZE]),
            most_per_kg=self._most_per_kg(person[:, _PAYS], u[:, :, _NOISE]),
            patience_h=settings.patience_days.from_uniform(u[:, :, _PATIENCE]) * 24.0,
            shows_up=u[:, :, _SHOWS_UP] < settings.shows_up_share,
            brings_friend=u[:, :, _FRIEND] < settings.friend_share,
            returns_at_share=settings.returns_at_share.from_uniform(person[:, _RETURNS]),
            misses_borne=settings.misses_borne.from_uniform(person[:, _MISSES]).astype(np.int64),
            tin_kg=settings.tin_kg.from_uniform(u[:, :, _TIN_KG]) * wants_tin,
            tin_most_per_kg=settings.tin_most_per_kg,
            sale_h=settings.sale_min / 60.0,
            message_h=settings.message_min / 60.0,
            trip_km=settings.trip_km,
            parcel_kg=self.parcel_kg,
            parcel_fee=self.parcel_fee,
            least_kg=self.least_kg,
            parcel_h=self.parcel_h,
        )

    def operational_h(self, horizon: Horizon) -> FloatArray:
        """Operational time at each day's start and at the end [h], shape (days + 1,): how often needs arise."""
        settings = self.settings
        return pace(horizon, settings.season, settings.growth_a_year_share, settings.spells)

    def _needs(self, draw: Draw, first_u: FloatArray, end_h: float) -> tuple[FloatArray, FloatArray]:
        """Uniforms, shape (people, needs, 8), and gaps [h], shape (people, needs), that reach beyond ``end_h``."""
        settings = self.settings
        self._see_that_they_can_be_drawn(end_h)
        blocks: list[FloatArray] = []
        gaps: list[FloatArray] = []
        reached_h = np.zeros(settings.people)
        while not blocks or float(reached_h.min()) <= end_h:
            if len(blocks) * BLOCK >= MOST_NEEDS:
                raise ValueError(
                    f"one person has more than {MOST_NEEDS} needs in {end_h / 24:.0f} days; make the gap longer"
                )
            u = draw.uniform(f"needs/{len(blocks)}", (settings.people, BLOCK, 8))
            gap_h = settings.gap_days.from_uniform(u[:, :, _GAP]) * 24.0
            if not blocks:
                gap_h[:, 0] = self._first_h(gap_h[:, 0], first_u)
            blocks.append(u)
            gaps.append(gap_h)
            reached_h += gap_h.sum(axis=1)
        if len(blocks) == 1:
            return blocks[0], gaps[0]
        return np.concatenate(blocks, axis=1), np.concatenate(gaps, axis=1)

    def _see_that_they_can_be_drawn(self, end_h: float) -> None:
        people, gap_h = self.settings.people, 24.0 * self.settings.gap_days.mean
        expected = people * end_h / gap_h if gap_h > 0.0 else inf
        if people > 1 and expected > MOST_OF_A_CLASS:
            number = f"about {expected:,.0f}" if expected < inf else "endlessly many"
            raise ValueError(
                f"{people} people have {number} needs in {end_h / 24:.0f} days, and {MOST_OF_A_CLASS:,} at most can be "
                "played; make the gap longer, or the people fewer"
            )

    def _size_kg(self, u: FloatArray) -> FloatArray:
        size = self.size.from_uniform(u)
        if self.parcel_kg:
            return np.maximum(size, 1.0) * self.parcel_kg
        return np.maximum(size, self.least_kg)

    def _first_h(self, gap_h: FloatArray, first_u: FloatArray) -> FloatArray:
        """Until each person's first need [h]: they are somewhere within a gap when the horizon begins."""
        first_days = self.settings.first_days
        return gap_h * (1.0 - first_u) if first_days is None else first_days.from_uniform(first_u) * 24.0

    def _most_per_kg(self, pays_u: FloatArray, noise_u: FloatArray) -> Mapping[Alloy, FloatArray]:
        """The person's own limit for each alloy, times what this need adds or takes, whose mean is 1."""
        sigma = np.sqrt(np.log1p(self.settings.need_varies_share**2))
        factor = np.exp(sigma * ndtri(np.maximum(noise_u, _SMALLEST)) - 0.5 * sigma**2)
        return {
            alloy: spread.from_uniform(pays_u)[:, np.newaxis] * factor for alloy, spread in self._most.items()
        }


def _spreads(most: Most) -> dict[Alloy, Spread]:
    """The alloys that are taken, with what people would pay for them."""
    found = {alloy: getattr(most, f"{alloy}_per_kg") for alloy in ALLOYS}
    return {alloy: spread for alloy, spread in found.items() if spread is not None}


def _returning(settings: ReturningSettings) -> People:
    return People(settings, "private", settings.size_kg, settings.least_kg)


def _bulk(settings: BulkSettings) -> People:
    return People(settings, "bulk", settings.size_kg, settings.least_kg)


def _post(settings: PostSettings) -> People:
    people = People(settings, "post", settings.parcels, settings.parcel_kg)
    people.parcel_kg, people.parcel_fee = settings.parcel_kg, settings.parcel_fee
    people.parcel_h = settings.packing_min / 60.0
    return people


RETURNING = Provider(
    kind="demand",
    name="returning",
    settings=ReturningSettings,
    build=_returning,
    summary="private buyers who come back, such as casters and anglers, with season and word of mouth",
    example={
        "people": 25,
        "known": 8,
        "gap": {"exponential": {"mean": "120 days"}},
        "size": {"lognormal": {"mean": "18 kg", "sd": "8 kg"}},
        "most": {
            "hard": {"normal": {"mean": "4.6 EUR/kg", "sd": "0.6 EUR/kg"}},
            "mixed": {"normal": {"mean": "4.3 EUR/kg", "sd": "0.6 EUR/kg"}},
        },
        "tin_wanting_share": 0.2,
    },
)
BULK = Provider(
    kind="demand",
    name="bulk",
    settings=BulkSettings,
    build=_bulk,
    summary="a few buyers of 100 kg and more at about half the private price",
    example={
        "most": {"hard": "2.4 EUR/kg", "mixed": {"uniform": {"low": "2.0 EUR/kg", "high": "2.4 EUR/kg"}}}
    },
)
POST = Provider(
    kind="demand",
    name="post",
    settings=PostSettings,
    build=_post,
    summary="buyers far away, served in heavy flat-fee parcels",
    example={
        "people": 60,
        "known": 5,
        "gap": {"exponential": {"mean": "200 days"}},
        "most": {"hard": {"normal": {"mean": "5.4 EUR/kg", "sd": "0.6 EUR/kg"}}},
        "parcel": "27 kg",
        "parcel_fee": "23 EUR",
    },
)
