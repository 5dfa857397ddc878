"""What follows from a scenario without playing a year.

In: a scenario. Out: ``Check``: lifts, payload, hours and money of one bucket, limits broken.
Must not know: runs, files, the terminal.

The typical bucket and the weather of the owner's free hours are those of world number 0.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor, inf
from typing import NamedTuple

from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.hauling import METHOD_CARRIED_SHARE
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.prospects import Prospects, prospects
from planner.study.sources import cautions, subject
from planner.study.study import Subject
from planner.trade.lifting import RAISED_RISK_INDEX, REFUSED_INDEX
from planner.trade.payload import may_still_load_kg
from planner.trade.safety import Caution
from planner.workshop.bucket import (
    Bucket,
    BucketHours,
    ChannelMoney,
    bucket_hours,
    channel_money,
    typical_bucket,
)
from planner.workshop.floor import Floor
from planner.workshop.premises import Premises, Refusal, StartUp, Tables, premises
from planner.world.build import build
from planner.world.draw import Draw


class LiftRow(NamedTuple):
    """One row a way of lifting: what the lifting equation says of a full bucket, half of one, and a portion."""

    method: str
    in_use: bool
    full_index: float
    half_index: float
    portion_index: float
    """Of the portion that the scenario lifts; the full bucket where it is not split."""
    verdict: str
    """Of that portion: allowed, raised risk, or refused."""


class PayloadRow(NamedTuple):
    """What the vehicle may carry beside the people in it."""

    load_kg: float
    buckets: int


@dataclass(frozen=True, slots=True)
class Check:
    """What follows without simulating.

    Parameters
    ----------
    bucket : Bucket or None
        A typical one; None where the scenario has no weights at all.
    portion_kg : float
        What is lifted at once of such a bucket [kg].
    full_pot_kg, stand_kg : float
        Pot with lead to the pouring level, and what the stand is rated for [kg].
    hours : tuple of BucketHours
        By weather; empty where nothing is melted.
    money : tuple of ChannelMoney
        By way of selling, in ordinary weather.
    prospects : Prospects
        Free hours, hours that allow a melt, and what is missing altogether.
    refusals : mapping, as tuple of (option, tuple of Refusal)
        Every option that breaks a hard limit by its settings.
    """

    subject: Subject
    option: str
    bucket: Bucket | None
    portion_kg: float
    lifts: tuple[LiftRow, ...]
    payload: PayloadRow
    full_pot_kg: float
    stand_kg: float
    hours: tuple[BucketHours, ...]
    money: tuple[ChannelMoney, ...]
    refusals: tuple[tuple[str, tuple[Refusal, ...]], ...]
    options: tuple[str, ...]
    outlooks: tuple[str, ...]
    prospects: Prospects
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]


def check(scenario: Scenario, option: str = AS_TODAY) -> Check:
    """Work out what follows for one option, and which options break a limit.

    Raises
    ------
    planner.scenario.InputError
        An unknown option.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    business = scenario.business(option)
    models = models_for(Registry(), business)
    world = build(Draw(scenario.study.seed, 0), business, models)
    known, bucket, tables = premises(business), typical_bucket(business, world), Tables()
    hours: tuple[BucketHours, ...] = ()
    money: tuple[ChannelMoney, ...] = ()
    mass_kg = bucket.mass_kg if bucket else 0.0
    if bucket is not None:
        hours = bucket_hours(business, known, tables, bucket, world)
        ordinary = next(row for row in hours if row.weather == "ordinary")
        money = channel_money(business, known, bucket, ordinary, world, models.pricing)
    portion = mass_kg / known.portions(business, mass_kg) if mass_kg else 0.0
    may_load = max(0.0, may_still_load_kg(known.vehicle))
    return Check(
        subject=subject(scenario, scenario.study.seed, 1, [business]),
        option=option,
        bucket=bucket,
        portion_kg=portion,
        lifts=tuple(_lifts(business, known, mass_kg, portion)),
        payload=PayloadRow(may_load, floor(may_load / mass_kg + 1e-9) if mass_kg else 0),
        full_pot_kg=known.full_pot_kg,
        stand_kg=business.melting.stand_kg,
        hours=hours if business.melting.on else (),
        money=money,
        refusals=tuple(
            (name, broken)
            for name in scenario.options
            if (broken := premises(scenario.business(name, EXPECTED)).refusals)
        ),
        options=tuple(scenario.options),
        outlooks=tuple(scenario.outlooks),
        prospects=prospects(Floor(business, world, models.pricing, StartUp(), known, tables)),
        cautions=cautions([business]),
        warnings=tuple(map(str, scenario.warnings)),
    )


def _lifts(business: Business, known: Premises, mass_kg: float, portion_kg: float) -> Iterator[LiftRow]:
    lifting = business.lifting
    shares = dict(METHOD_CARRIED_SHARE)
    if lifting.carried_share is not None:
        shares[lifting.method] = lifting.carried_share
    for method, share in shares.items():

        def index(kg: float, share: float = share) -> float:
            return kg * share / known.recommended_kg if known.recommended_kg > 0 else inf

        found = index(portion_kg)
        verdict = "allowed" if found <= RAISED_RISK_INDEX else "raised risk"
        if found > min(lifting.limit_index, REFUSED_INDEX):
            verdict = "refused"
        yield LiftRow(method, method == lifting.method, index(mass_kg), index(mass_kg / 2.0), found, verdict)
