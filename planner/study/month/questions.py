"""What is asked every month, as changes of the business of today that can be played beside it.

In: the business of today with all its values, a typical bucket. Out: ``Questions``: names of changes by what they ask,
and what cannot be asked with the reason. Must not know: runs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Final

from planner.scenario.business import Business
from planner.scenario.clock import DAYS, days_of
from planner.study.month.asked_of import Changes
from planner.study.month.today import Today, lot_of
from planner.workshop.bucket import Bucket
from planner.workshop.months import periods

BUCKETS: Final = 6
"""So many more buckets at most."""
FACTORS: Final = (0.8, 0.85, 0.9, 0.95, 1.05, 1.1, 1.15, 1.2)
"""Of today's prices."""
DROP: Final = 0.9
"""What a price that is dropped is of today's."""
LEVELS: Final = (0.5, 1.0, 2.0, 3.0)
"""Ingots left when a price is dropped: of the stock above which nothing is melted, or of today's if that is more."""
DROPS: Final = (0.5, 0.75)
"""Parts of the season after which dropping a price is asked about."""
LEFT_DAYS: Final = 28
"""Fewer days left are too late to drop a price."""
SCALED: Final = ("core.fixed", "core.breaks")
"""Pricing models whose private prices stand in their settings."""
SHOPS: Final = "core.shops"
NEXT_DAYS: Final = 14
"""So far ahead a day to light up is looked for."""

NO_MELTING: Final = "nothing is melted in this business"


@dataclass(frozen=True, slots=True)
class ShopAsked:
    """One shop that is played with and without."""

    name: str
    known: bool
    question: str
    yes_share: float
    """How often a shop that is asked says yes; 1 for one that gives already."""
    asking_h: float
    """Hours of asking until it is found, on average; 0 for one that gives already."""


@dataclass(frozen=True, slots=True)
class DropAsked:
    """One day on which a price may be dropped.

    Parameters
    ----------
    at : int
        Number of the week or month at whose end that is.
    day : date
        The day after it.
    levels : dict of float to (str, str)
        From that day on with so many kg of ingots: at today's price, at the lower one.
    """

    at: int
    day: date
    levels: dict[float, tuple[str, str]]


@dataclass
class Questions:
    """Changes by name, and which name asks what.

    Attributes
    ----------
    changes : dict
        Of each question.
    buckets : list of str
        With one, two and more buckets at home, at no cost.
    unpromised : str
        Without the promised buckets; empty where none are.
    untouched : str
        Nothing melted, all weights to the yard; empty where that is not asked, as for all others.
    prices : dict of float to str
        By factor of today's price.
    drops : list of DropAsked
        Days on which the price may be dropped, in order.
    light_day : date or None
        The day that is looked at for lighting up.
    stays_off, looked_at : str
        Nothing melted that day, all else done; the days up to it alone, told day by day.
    shops : list of ShopAsked
        Each shop.
    left_out : dict of str to str
        What is not asked, and why.
    """

    changes: dict[str, Changes] = field(default_factory=dict)
    buckets: list[str] = field(default_factory=list)
    unpromised: str = ""
    untouched: str = ""
    prices: dict[float, str] = field(default_factory=dict)
    drops: list[DropAsked] = field(default_factory=list)
    light_day: date | None = None
    stays_off: str = ""
    looked_at: str = ""
    shops: list[ShopAsked] = field(default_factory=list)
    left_out: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, changes: Changes) -> str:
        """Ask one more; its name."""
        self.changes[name] = changes
        return name


def questions(
    business: Business, values: Any, today: Today, bucket: Bucket | None, currency: str | None
) -> Questions:
    """Everything that is asked of the business of today.

    Parameters
    ----------
    business : Business
        The business of today.
    values : mapping
        Every value of it, as a file would hold it.
    today : Today
        Days, stock.
    bucket : Bucket or None
        A typical one; None where there is none.
    currency : str or None
        Of the scenario.
    """
    asked = Questions()
    _buckets(asked, bucket, currency)
    _promised(asked, values, today, currency)
    if business.melting.on:
        asked.untouched = asked.add("sold untouched", {"melting.on": False, "yard.weights": "all"})
    else:
        asked.left_out["melt or sell"] = NO_MELTING
    scale = _scaled(asked, business, values)
    for factor in FACTORS if scale else ():
        asked.prices[factor] = asked.add(f"price times {factor}", {path: {"times": factor} for path in scale})
    _drops(asked, business, today, scale)
    _lighting(asked, business, values, today)
    _shops(asked, business, values)
    return asked


def _buckets(asked: Questions, bucket: Bucket | None, currency: str | None) -> None:
    if bucket is None:
        asked.left_out["buckets"] = "the scenario has no shops, so what is in a bucket is not known"
        return
    lot = lot_of(bucket, f"{bucket.mass_kg} kg", 0.0, currency)
    for number in range(1, BUCKETS + 1):
        changes = {"stock.lots": {"append": [lot] * number}}
        asked.buckets.append(asked.add(f"buckets more: {number}", changes))


def _promised(asked: Questions, values: Any, today: Today, currency: str | None) -> None:
    """What is there without the buckets promised: the last of the stock, and what they cost still in the pocket."""
    if today.promised:
        lots = values["stock"]["lots"][: -today.promised]
        changes = {"stock.lots": lots, "cash.opening": f"{today.cash} {currency}"}
        asked.unpromised = asked.add("promised buckets not taken", changes)


def _scaled(asked: Questions, business: Business, values: Any) -> list[str]:
    """Paths of the prices that private buyers are asked; none where another model sets them."""
    if business.pricing.model not in SCALED:
        why = f"prices are set by the model {business.pricing.model}, which this question cannot scale"
        asked.left_out["price"] = asked.left_out["price drop"] = why
        return []
    private = values["pricing"]["settings"]["private"]
    return [f"pricing.settings.private.{alloy}" for alloy, price in private.items() if price is not None]


def _drops(asked: Questions, business: Business, today: Today, scale: list[str]) -> None:
    """The rest of the season from its middle on, and from later on, with less and more in stock than there may be."""
    start = date.fromisoformat(today.start)
    ends = [
        (i, end) for i, (_, end) in enumerate(periods(start, today.days)) if today.days - end >= LEFT_DAYS
    ]
    if not ends:
        asked.left_out["price drop"] = f"fewer than {LEFT_DAYS} days would be left"
    if not ends or not scale:
        return
    nearest = [min(ends, key=lambda one: abs(one[1] - part * today.days)) for part in DROPS]
    cheaper = {path: {"times": DROP} for path in scale}
    for at, end in dict.fromkeys(nearest):
        day = start + timedelta(end)
        levels = {
            kg: (
                asked.add(f"from {day} with {kg} kg", here),
                asked.add(f"from {day} with {kg} kg, cheaper", {**here, **cheaper}),
            )
            for kg, here in _levels(business, today, day, today.days - end)
        }
        asked.drops.append(DropAsked(at, day, levels))


def _levels(business: Business, today: Today, day: date, days: int) -> Iterator[tuple[float, dict[str, Any]]]:
    """So many kg of ingots, and what begins on that day with them."""
    alloy = "hard" if business.sorting.on else "mixed"
    usual = max(business.melting.stop_above_kg, today.hard_kg + today.soft_kg + today.mixed_kg)
    none = {"stock.hard": "0 kg", "stock.soft": "0 kg", "stock.mixed": "0 kg"}
    for level in LEVELS:
        kg = round(level * usual, 1)
        here = {f"stock.{alloy}": f"{kg} kg", "calendar.start": f"{day}", "calendar.days": days}
        yield kg, {**none, **here}


def _lighting(asked: Questions, business: Business, values: Any, today: Today) -> None:
    """The next Saturday if it is free and allowed, else the next such day: nothing melted on it, and looked at."""
    if not business.melting.on:
        asked.left_out["lighting up"] = NO_MELTING
        return
    free = list(_free_days(business, date.fromisoformat(today.start), min(NEXT_DAYS, today.days)))
    saturdays = [day for day in free if DAYS[day.weekday()] == "sat"]
    if not free:
        asked.left_out["lighting up"] = f"no day of the next {NEXT_DAYS} is free and allows a melt"
        return
    day = (saturdays or free)[0]
    off = values["melting"]["not_on"]
    written = [] if off == "none" else [off] if isinstance(off, str) else list(off)
    asked.light_day = day
    asked.stays_off = asked.add("no fire on that day", {"melting.not_on": [*written, day.isoformat()]})
    ahead = (day - date.fromisoformat(today.start)).days + 2
    asked.looked_at = asked.add("the first days alone", {"calendar.days": ahead})


def _free_days(business: Business, start: date, days: int) -> Iterator[date]:
    """Days with free hours on which the pot may be lit."""
    owner, melting = business.owner, business.melting
    off, own, cold = days_of(owner.holidays), dict(owner.other_hours), days_of(melting.not_on)
    for day in (start + timedelta(n) for n in range(days)):
        hours = own.get(day, () if day in off else owner.hours[day.weekday()])
        if hours and day not in cold and DAYS[day.weekday()] in melting.days:
            yield day


def _shops(asked: Questions, business: Business, values: Any) -> None:
    """Each known shop left out, each unknown one known."""
    others = []
    for number, (choice, written) in enumerate(zip(business.supply, values["supply"], strict=True), 1):
        if choice.model != SHOPS:
            others.append(choice.name or choice.model)
            continue
        path, shops = f"supply.{number}.settings.shops", written["settings"]["shops"]
        for name, place in choice.settings.shops.items():
            if place.kind == "chain":
                asked.left_out[f"shop {name}"] = (
                    "a chain is bound by its recycling contract and gives nothing"
                )
                continue
            rest = {other: one for other, one in shops.items() if other != name}
            changes: Changes = {path: rest} if rest else {"supply": {"remove": choice.name}}
            if not place.known:
                changes = {path: {**shops, name: {**shops[name], "known": True}}}
            said = f"{'without' if place.known else 'with'} {choice.name}: {name}"
            yes = 1.0 if place.known else choice.settings.says_yes_share
            hours = 0.0 if place.known else place.asking_h.mean
            asked.shops.append(ShopAsked(name, place.known, asked.add(said, changes), yes, hours))
    if others:
        asked.left_out["shops"] = f"how {', '.join(others)} is made up is known to its own model only"
    if not asked.shops and not others:
        asked.left_out["shops"] = "the scenario names no shop"
