"""What follows from a scenario without playing a year.

In: a scenario. Out: ``Check``: lifts, payload, hours and money of one bucket, limits broken.
Must not know: runs, files, the terminal.

The typical bucket and the weather of the owner's free hours are those of world number 0.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import floor
from typing import NamedTuple

from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.origins import Origins, origins_of
from planner.study.foresight import Outlay, comparison
from planner.study.looking import looked
from planner.study.prospects import Prospects, prospects
from planner.study.sources import cautions, subject, warnings_of
from planner.study.study import Subject
from planner.trade.lifting import RAISED_RISK_INDEX, REFUSED_INDEX, outside_scope_share
from planner.trade.payload import may_still_load_kg, rated_cargo_kg
from planner.trade.safety import Caution
from planner.trade.ways import WAYS, Method
from planner.workshop.bucket import (
    Bucket,
    BucketHours,
    ChannelMoney,
    bucket_hours,
    channel_money,
    free_weather,
    lifting_h,
    typical_bucket,
)
from planner.workshop.crew import Crew
from planner.workshop.floor import Floor
from planner.workshop.premises import Premises, Refusal, StartUp, Tables, premises
from planner.world.parts import Pricing, World


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


class OptionLift(NamedTuple):
    """One row an option, and another for the helper's days where they differ: how it lifts a typical bucket."""

    option: str
    method: str
    helped: bool
    """On the helper's days."""
    portion_kg: float
    """Lifted at once."""
    lifting_index: float
    minutes: float
    """To split a bucket, lift it into the vehicle and out at home, and to set up what helps at both places."""
    verdict: str


class OwedRow(NamedTuple):
    """One row a contract: what a shop is owed to hand out in the days played, fetched or paid for in vain."""

    shop: str
    buckets: int
    money: float
    """If nothing of it is fetched [currency]."""


class PayloadRow(NamedTuple):
    """What the vehicle may carry beside the people in it."""

    load_kg: float
    buckets: int
    bound: str
    """The rating that is reached first: payload or rear axle."""
    over_kg: float
    """Part of the load that is above the rating: an overload that the scenario accepts."""


@dataclass(frozen=True, slots=True)
class Check:
    """What follows without simulating.

    Parameters
    ----------
    bucket : Bucket or None
        A typical one; None where the scenario has no weights at all.
    portion_kg : float
        What is lifted at once of such a bucket [kg].
    option_lifts : tuple of OptionLift
        How each option lifts such a bucket.
    not_covered_share : float
        Share of the owner's free hours that are colder or warmer than the lifting equation covers.
    full_pot_kg, stand_kg : float
        Pot with lead to the pouring level, and what the stand is rated for [kg].
    hours : tuple of BucketHours
        By weather; empty where nothing is melted.
    money : tuple of ChannelMoney
        By way of selling, in ordinary weather.
    owed : tuple of OwedRow
        Contracts that bind the owner to buckets, wanted or not.
    prospects : Prospects
        Free hours, hours that allow a melt, and what is missing altogether.
    notes : tuple of str
        What models of weather, rates and supply found in their files, left out or made up.
    outlay : Outlay
        What a comparison of all options costs one processor.
    origins : Origins
        Where each value of the business comes from.
    refusals : mapping, as tuple of (option, tuple of Refusal)
        Every option that breaks a hard limit by its settings.
    """

    subject: Subject
    option: str
    bucket: Bucket | None
    portion_kg: float
    lifts: tuple[LiftRow, ...]
    option_lifts: tuple[OptionLift, ...]
    not_covered_share: float
    payload: PayloadRow
    full_pot_kg: float
    stand_kg: float
    hours: tuple[BucketHours, ...]
    money: tuple[ChannelMoney, ...]
    refusals: tuple[tuple[str, tuple[Refusal, ...]], ...]
    options: tuple[str, ...]
    outlooks: tuple[str, ...]
    owed: tuple[OwedRow, ...]
    prospects: Prospects
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    outlay: Outlay
    origins: Origins
    estimates: int
    """Inputs that every world draws anew."""


def check(scenario: Scenario, option: str = AS_TODAY, *, apart: bool = False) -> Check:
    """Work out what follows for one option, and which options break a limit.

    If it may be ``apart``, models of packages are asked in a process beside this one.

    Raises
    ------
    planner.scenario.InputError
        An unknown option.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    planner.study.looking.CheckError
        A model of a package failed when it was asked.
    """
    return looked(scenario, option, _check, apart)


def _check(scenario: Scenario, option: str, world: World, pricing: Pricing) -> Check:
    business = scenario.business(option)
    known, bucket, tables = premises(business), typical_bucket(business, world), Tables()
    hours: tuple[BucketHours, ...] = ()
    money: tuple[ChannelMoney, ...] = ()
    mass_kg = bucket.mass_kg if bucket else 0.0
    if bucket is not None:
        hours = bucket_hours(business, known, tables, bucket, world)
        ordinary = next(row for row in hours if row.weather == "ordinary")
        money = channel_money(business, known, bucket, ordinary, world, pricing)
    portion = mass_kg / known.alone.portions(mass_kg)
    refused = tuple(
        (name, broken)
        for name in scenario.options
        if (broken := premises(scenario.business(name, EXPECTED)).refusals)
    )
    return Check(
        subject=subject(scenario, scenario.study.seed, 1, [business]),
        option=option,
        bucket=bucket,
        portion_kg=portion,
        lifts=tuple(_lifts(business, known, mass_kg, portion)),
        option_lifts=tuple(_option_lifts(scenario, mass_kg)) if mass_kg else (),
        not_covered_share=outside_scope_share(free_weather(business, world)[0]),
        payload=_payload(known.alone, mass_kg),
        full_pot_kg=known.full_pot_kg,
        stand_kg=business.melting.stand_kg,
        hours=hours if business.melting.on else (),
        money=money,
        refusals=refused,
        options=tuple(scenario.options),
        outlooks=tuple(scenario.outlooks),
        owed=tuple(_owed(world)),
        prospects=prospects(
            Floor(business, world, pricing, StartUp(), known, tables),
            (
                *_beyond(hours if business.melting.on else (), len(refused) == len(scenario.options)),
                *_too_dear(world, money, scenario.currency),
            ),
        ),
        cautions=cautions([business]),
        warnings=warnings_of(scenario),
        notes=tuple(_notes(business, world)),
        outlay=comparison(scenario),
        origins=origins_of(scenario),
        estimates=len(scenario.estimates),
    )


def _beyond(hours: tuple[BucketHours, ...], all_refused: bool) -> Iterator[str]:
    """What is in the way that hours, rain and people do not show."""
    if hours and not any(row.melts for row in hours):
        yield "the burner is too weak for the pot: a bucket melts in none of the weathers below"
    if all_refused:
        yield "every option breaks a hard limit, so none can be recommended"


def _too_dear(world: World, money: tuple[ChannelMoney, ...], currency: str) -> Iterator[str]:
    """Whoever would pay what is asked for not even one of all needs that were drawn."""
    asked = {row.channel: row.per_kg for row in money}
    for crowd in world.crowds:
        price = asked.get(crowd.name, 0.0)
        most = max((float(each.max(initial=0.0)) for each in crowd.most_per_kg.values()), default=0.0)
        if price > most:
            yield (
                f"{price:,.2f} {currency}/kg is more than anybody of {crowd.name} would pay (demand, pricing): they "
                "buy nothing"
            )


def _owed(world: World) -> Iterator[OwedRow]:
    for shop in (shop for supply in world.supplies for shop in supply.shops):
        if shop.owed is not None and shop.bound:
            yield OwedRow(shop.name, int((shop.owed > 0.0).sum()), float(shop.owed.sum()))


def _notes(business: Business, world: World) -> Iterator[str]:
    told = [(business.weather.name or business.weather.model, world.weather.note)]
    told.append((business.rates.name or business.rates.model, world.rates.note))
    told += [(supply.name, supply.note) for supply in world.supplies]
    for name, note in told:
        if note:
            yield f"{name}: {note}"


def _payload(crew: Crew, mass_kg: float) -> PayloadRow:
    load_kg, (rated_kg, bound) = may_still_load_kg(crew.vehicle), rated_cargo_kg(crew.vehicle)
    buckets = floor(load_kg / mass_kg + 1e-9) if mass_kg else 0
    return PayloadRow(load_kg, buckets, bound, load_kg - rated_kg)


def _verdict(business: Business, index: float) -> str:
    if index > min(business.lifting.limit_index, REFUSED_INDEX):
        return "refused"
    return "allowed" if index <= RAISED_RISK_INDEX else "raised risk"


def _lifts(business: Business, known: Premises, mass_kg: float, portion_kg: float) -> Iterator[LiftRow]:
    crew = known.alone

    def row(method: Method, carried_share: float) -> LiftRow:
        of = replace(crew, carried_share=carried_share)
        full, half, portion = (of.lifting_index(kg) for kg in (mass_kg, mass_kg / 2.0, portion_kg))
        return LiftRow(method, method == crew.method, full, half, portion, _verdict(business, portion))

    for method, way in WAYS.items():
        yield row(method, crew.carried_share if method == crew.method else way.carried_share)


def _option_lifts(scenario: Scenario, mass_kg: float) -> Iterator[OptionLift]:
    """How each option that fetches lifts a bucket of this mass, under the expected outlook."""
    for name in scenario.options:
        business = scenario.business(name, EXPECTED)
        if not business.fetching.on:
            continue
        known = premises(business)
        for crew in dict.fromkeys((known.alone, known.helped)):
            if crew is not known.alone and crew.carried_share == known.alone.carried_share:
                continue
            portion_kg = mass_kg / crew.portions(mass_kg)
            index = crew.lifting_index(portion_kg)
            minutes = 60.0 * lifting_h(crew, mass_kg)
            yield OptionLift(
                name,
                crew.method,
                crew is not known.alone,
                portion_kg,
                index,
                minutes,
                _verdict(business, index),
            )
