"""The standing questions of the trade, asked of every scenario as far as it has what they need.

How far the yard's prices can fall before each option stops paying, before melting stops beating selling untouched,
before doing nothing is best; the most to pay for a bucket; the lead share at which a bucket is no longer worth melting;
the price of the owner's hour at which to stop.

In: worlds held fixed. Out: an ``Along`` for each input, and ``Answer`` values. Must not know: words, files.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor, log10
from typing import Final, Literal

import numpy as np

from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.contents import Mix
from planner.scenario import Scenario
from planner.scenario.axis import Axis, Lever, quantities
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.along import Along, BreakEven, along, break_even
from planner.study.held import HOUR_PRICE, NOTHING, Held

YARD: Final = (0.2, 1.8)
"""How far the yard's prices are moved, times today's (assumed)."""

SHARES: Final = (0.1, 0.9)
"""Lead shares of a bucket that are looked at: clip-on and stick-on weights together (assumed)."""

BEYOND: Final = 1.5
"""A range without an end of its own goes on so far beyond where a straight line would be zero (assumed)."""

ROUND: Final = (1.0, 1.2, 1.6, 2.0, 2.4, 3.2, 4.0, 4.8, 6.4, 8.0, 10.0)
"""Ends of ranges, times a power of ten: an eighth of each is short to write."""

Question = Literal["stops paying", "melting or untouched", "nothing", "bucket", "lead share", "hour"]
Moved = Literal[
    "the yard's prices", "the price of a bucket", "the lead share of a bucket", "the price of your hour"
]
"""Label of the input that was moved."""

_YARD: Final = "the yard's prices"
_BUCKET: Final = "the price of a bucket"
_LEAD: Final = "the lead share of a bucket"
_HOUR: Final = "the price of your hour"
Missing = Literal["", "no yard prices", "no shops", "no untouched", "no hours"]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer.

    Parameters
    ----------
    question : Question
        What was asked.
    along : Moved
        Which input.
    found : tuple of BreakEven
        What came out, for each option that it was asked of.
    missing : Missing
        Why it was not asked.
    """

    question: Question
    along: Moved
    found: tuple[BreakEven, ...] = ()
    missing: Missing = ""


def sells_untouched(scenario: Scenario) -> str | None:
    """The option that fetches, melts nothing and takes all to the yard as it comes; None without one."""

    def does(business: Business) -> bool:
        return business.fetching.on and not business.melting.on and business.yard.weights == "all"

    return next((name for name in scenario.options if does(scenario.business(name))), None)


def does_nothing(scenario: Scenario) -> str | None:
    """The option that neither fetches nor melts nor is busy with anything; None without one."""

    def does(business: Business) -> bool:
        return not (business.fetching.on or business.melting.on or business.owner.priority)

    return next((name for name in scenario.options if does(scenario.business(name))), None)


def untouched_and_nothing(scenario: Scenario, names: Sequence[str]) -> tuple[str, ...]:
    """Those of the two plain alternatives that take part."""
    found = (sells_untouched(scenario), does_nothing(scenario))
    return tuple(name for name in found if name is not None and name in names)


def standing(held: Held, names: Sequence[str], points: int) -> tuple[tuple[Along, ...], tuple[Answer, ...]]:
    """Ask all of them.

    Parameters
    ----------
    held : Held
        Scenario and worlds.
    names : sequence of str
        Options that take part, the base among them.
    points : int
        Along each input.
    """
    untouched, nothing = sells_untouched(held.scenario), does_nothing(held.scenario) or NOTHING
    held.play([(names, ())])
    leader = _leader(held, names)
    asked = tuple(dict.fromkeys((AS_TODAY, leader)))
    few = tuple(name for name in names if name in {*asked, untouched, nothing})
    alongs: list[Along] = []
    answers: list[Answer] = []

    def look(axis: Axis, options: Sequence[str], against: Sequence[str]) -> Along:
        alongs.append(along(held, axis, axis.points(points), options, against))
        return alongs[-1]

    def those(found: Along, against: str) -> tuple[BreakEven, ...]:
        return tuple(
            found.break_even(name, against) or break_even(held, found.axis, found.points, name, against)
            for name in asked
            if name != against
        )

    yard = yard_axis(held.scenario)
    if yard is None:
        of_the_yard: tuple[Question, ...] = ("stops paying", "melting or untouched", "nothing")
        answers += [Answer(question, _YARD, missing="no yard prices") for question in of_the_yard]
    else:
        found = look(yard, names, (AS_TODAY,))
        grown = tuple(one for one in found.break_evens if one.option not in (untouched, nothing))
        answers.append(Answer("stops paying", _YARD, grown))
        if untouched is None:
            answers.append(Answer("melting or untouched", _YARD, missing="no untouched"))
        else:
            answers.append(Answer("melting or untouched", _YARD, those(found, untouched)))
        answers.append(Answer("nothing", _YARD, those(found, nothing)))
    bucket, lead = bucket_axis(held, asked, nothing), lead_axis(held.scenario)
    if bucket is None:
        answers.append(Answer("bucket", _BUCKET, missing="no shops"))
    else:
        answers.append(Answer("bucket", _BUCKET, those(look(bucket, few, (nothing,)), nothing)))
    if lead is None:
        answers.append(Answer("lead share", _LEAD, missing="no shops"))
    else:
        against = (nothing,) if untouched is None else (untouched, nothing)
        found = look(lead, few, against)
        answers.append(
            Answer("lead share", _LEAD, tuple(one for name in against for one in those(found, name)))
        )
    hour = hour_axis(held, names)
    if hour is None:
        answers.append(Answer("hour", _HOUR, missing="no hours"))
    else:
        answers.append(Answer("hour", _HOUR, those(look(hour, names, (nothing,)), nothing)))
    return tuple(alongs), tuple(answers)


def _leader(held: Held, names: Sequence[str]) -> str:
    """The allowed option with the highest mean as things are; the base if none is allowed."""
    allowed = [name for name in names if held.here(name, ()).state == "played"]
    return max(allowed, key=lambda name: float(held.money(name, ()).mean()), default=AS_TODAY)


def yard_axis(scenario: Scenario) -> Axis | None:
    """All of the yard's prices together; None where the model of rates has none in its settings."""
    settings = scenario.variants.written(AS_TODAY, EXPECTED)["rates"]["settings"]
    paths = tuple(quantities(settings, "money/kg", scenario.currency, "rates.settings"))
    levers = tuple(Lever(path, "times") for path in paths)
    return Axis(_YARD, "times today's", *YARD, levers, today=1.0) if levers else None


def _shops(scenario: Scenario) -> Iterator[tuple[str, ShopsSettings]]:
    """Every supply of shops that the built-in model makes, and its path."""
    for number, choice in enumerate(scenario.business().supply, start=1):
        if isinstance(choice.settings, ShopsSettings):
            yield f"supply.{choice.name or number}.settings", choice.settings


def bucket_axis(held: Held, options: Sequence[str], nothing: str) -> Axis | None:
    """One price for every bucket, whatever the owner now pays at most; None without shops."""
    levers, prices, unit = [], [], held.scenario.currency
    for path, settings in _shops(held.scenario):
        prices.append(float(settings.typical.price.mean))
        levers += [
            Lever(f"{path}.typical.price", unit=unit),
            Lever(f"{path}.typical.price_creep_share", scale=0.0),
        ]
        for name, shop in settings.shops.items():
            own = f"{path}.shops.{name}"
            if shop.price is not None:
                levers.append(Lever(f"{own}.price", unit=unit))
            if shop.price_creep_share is not None:
                levers.append(Lever(f"{own}.price_creep_share", scale=0.0))
    if not prices:
        return None
    top = 2.0 * max(prices)
    for name in options:
        gain, buckets = float(held.difference(name, nothing, ()).mean()), held.mean(name, "buckets")
        if gain > 0.0 and buckets > 0.0:
            top = max(top, BEYOND * (float(np.mean(prices)) + gain / buckets))
    if top <= 0.0:
        return None
    high = _round_up(top)
    levers.append(Lever("fetching.most_price", unit=unit, scale=0.0, offset=10.0 * high))
    today = prices[0] if len(set(prices)) == 1 else None
    return Axis(_BUCKET, unit, 0.0, high, tuple(levers), today=today)


def lead_axis(scenario: Scenario) -> Axis | None:
    """Clip-on and stick-on weights as a share of every shop's buckets; None without shops, or where they hold none."""
    levers: list[Lever] = []
    shares = []
    for path, settings in _shops(scenario):
        shares.append(_lead_share(settings.typical.mix))
        levers += _of_mix(f"{path}.typical.mix", settings.typical.mix)
        for name, shop in settings.shops.items():
            if shop.mix is not None:
                levers += _of_mix(f"{path}.shops.{name}.mix", shop.mix)
    if not levers:
        return None
    today = shares[0] if len(set(shares)) == 1 else None
    return Axis(_LEAD, "", *SHARES, tuple(levers), today=today)


def _lead_share(mix: Mix) -> float:
    return mix.clip_on_share + mix.stick_on_share


def _of_mix(path: str, mix: Mix) -> Iterator[Lever]:
    """The five shares of a mix: kinds of lead keep their proportions, and so does the rest."""
    lead = _lead_share(mix)
    rest = mix.zinc_share + mix.steel_share + mix.rubbish_share
    of_lead = {"clip_on_share": (mix.clip_on_share, 0.5), "stick_on_share": (mix.stick_on_share, 0.5)}
    for name, (share, even) in of_lead.items():
        yield Lever(f"{path}.{name}", scale=share / lead if lead > 0.0 else even)
    of_rest = {
        "zinc_share": (mix.zinc_share, 0.0),
        "steel_share": (mix.steel_share, 1.0),
        "rubbish_share": (mix.rubbish_share, 0.0),
    }
    for name, (share, alone) in of_rest.items():
        part = share / rest if rest > 0.0 else alone
        yield Lever(f"{path}.{name}", scale=-part, offset=part)


def hour_axis(held: Held, names: Sequence[str]) -> Axis | None:
    """The price of the owner's hour, up to well above what any option earns in one; None where nobody works."""
    price = float(held.scenario.business().owner.hour_price_per_h)
    earned = [
        held.mean(name, "profit") / held.mean(name, "hours_h")
        for name in names
        if held.here(name, ()).state == "played" and held.mean(name, "hours_h") > 0.0
    ]
    if not earned or max(price, *earned) <= 0.0:
        return None
    top = BEYOND * max(price, *earned)
    unit = f"{held.scenario.currency}/h"
    return Axis(_HOUR, unit, 0.0, _round_up(top), (Lever(HOUR_PRICE, unit=unit),), today=price)


def _round_up(value: float) -> float:
    """The next number that is short to write."""
    ten = 10.0 ** floor(log10(value))
    return next(one * ten for one in ROUND if one * ten >= value * (1.0 - 1e-9))
