"""What is there today, and until when the rest of the season is played.

In: a date and what the owner says; the scenario for all else. Out: ``Today``, and what differs from the scenario.
Must not know: what is asked about it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from planner.scenario import InputError, Problem
from planner.scenario.clock import DatedWindows, read_dated_windows, read_day, written_dated
from planner.scenario.units import quantity
from planner.scenario.wording import listed, nearest
from planner.study.month.asked_of import Changes
from planner.workshop.bucket import Bucket

ALLOYS: Final = ("hard", "soft", "mixed")
GOODS: Final = (*ALLOYS, "weights", "buckets")
"""What stock can be said of: ingots by alloy, weights not melted by mass or by the bucket."""

LEAST_DAYS, MOST_DAYS = 28, 365
"""Fewer days tell nothing of a season; more than a year is another season."""
SEASON_LEFT_DAYS: Final = 60
"""A year of which less is left is not waited out."""
OTHERWISE_DAYS: Final = 120
"""So long is looked ahead then."""

MOST_BUCKETS: Final = 200
"""More stand in nobody's yard; each is played by itself."""
YEARS: Final = (1970, 2199)
"""A date outside is a slip of the pen."""

SAID: Final = {"stock": "--stock", "cash": "--cash", "calendar": "--date", "owner.other_hours": "--hours"}


@dataclass(frozen=True, slots=True)
class Given:
    """What the owner says of today.

    Parameters
    ----------
    start : date
        Today.
    until : date, optional
        Last day that is played; :func:`season_end` if left out.
    stock : tuple of str
        Such as ``hard=40 kg``; what is not named is as in the scenario.
    cash : str, optional
        Such as ``350 EUR``; as in the scenario if left out.
    promised : int
        Buckets that shops have promised.
    hours : tuple of str
        Free hours of single days that are not as usual, such as ``2026-03-07 10:00-14:00``.
    """

    start: date
    until: date | None = None
    stock: tuple[str, ...] = ()
    cash: str | None = None
    promised: int = 0
    hours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Today:
    """What the rest of the season starts from. Masses kg, money in the scenario's currency.

    Parameters
    ----------
    start, until : str
        First and last day.
    days : int
        From the one to the other, both counted.
    until_given : bool
        Did the owner say until when?
    hard_kg, soft_kg, mixed_kg, weights_kg, cash : float
        At the start, promised buckets not counted.
    given : tuple of str
        What of these the owner said; all else is as in the scenario.
    promised, promised_kg, promised_cost : float
        Buckets promised: they stand at home from the first day on and are paid out of the opening cash.
    hours : tuple of str
        Free hours of single days that the owner told.
    written_from, written_until : str
        First and last day that the scenario is written for: dates in it say nothing of others.
    """

    start: str
    until: str
    days: int
    until_given: bool
    hard_kg: float
    soft_kg: float
    mixed_kg: float
    weights_kg: float
    cash: float
    given: tuple[str, ...]
    promised: int
    promised_kg: float
    promised_cost: float
    hours: tuple[str, ...]
    written_from: str
    written_until: str


def wrong(option: str, words: str) -> InputError:
    """Something on the command line that cannot be."""
    return InputError.of([Problem("", 0, 0, option, words)])


def day_told(option: str, text: str) -> date:
    """A date of the command line.

    Raises
    ------
    planner.scenario.InputError
        It is none.
    """
    try:
        return read_day(text)
    except ValueError as error:
        raise wrong(option, str(error)) from None


def season_end(start: date) -> date:
    """The year's last day; 120 days from now where fewer than 60 of the year are left."""
    last = date(start.year, 12, 31)
    return last if (last - start).days + 1 >= SEASON_LEFT_DAYS else start + timedelta(OTHERWISE_DAYS - 1)


def last_day(given: Given) -> date:
    """Until when is played.

    Raises
    ------
    planner.scenario.InputError
        That is before today, too soon or too late to say anything; or today cannot be.
    """
    if not YEARS[0] <= given.start.year <= YEARS[1]:
        raise wrong("--date", f"{given.start} cannot be today; give a day such as 2026-03-01")
    until = season_end(given.start) if given.until is None else given.until
    days = (until - given.start).days + 1
    if days < 1:
        raise wrong("--until", f"{until} is before {given.start}; give a later day")
    if days < LEAST_DAYS:
        raise wrong(
            "--until", f"{given.start} to {until} is {days} days, too few to tell; give {LEAST_DAYS} or more"
        )
    if days > MOST_DAYS:
        raise wrong("--until", f"{until} is more than a year after {given.start}; give an earlier day")
    return until


def hours_changes(
    hours: tuple[str, ...], usual: tuple[DatedWindows, ...], start: date, until: date
) -> Changes:
    """What the hours of single days are, by the path of a scenario: those told go before those written in it.

    Raises
    ------
    planner.scenario.InputError
        A day or a time is none, or is not played.
    """
    if not hours:
        return {}
    try:
        told = read_dated_windows(list(hours))
    except ValueError as error:
        raise wrong("--hours", str(error)) from None
    for day, _ in told:
        if not start <= day <= until:
            raise wrong("--hours", f"{day} is not between {start} and {until}, the days played")
    return {"owner.other_hours": written_dated(tuple(sorted({**dict(usual), **dict(told)}.items())))}


def lot_of(bucket: Bucket, mass: str, cost: float, currency: str | None) -> dict[str, Any]:
    """Weights of the usual mix at home, as a scenario holds them."""
    total = sum(bucket.shares)
    hard, clip, soft, zinc, steel, rubbish = (share / total for share in bucket.shares)
    return {
        "mass": mass,
        "cost": f"{cost} {currency}",
        "clip_on_share": hard + clip,
        "clip_share": clip / (hard + clip) if hard + clip > 0.0 else 0.0,
        "stick_on_share": soft,
        "zinc_share": zinc,
        "steel_share": steel,
        "rubbish_share": rubbish,
    }


def stock_changes(stock: tuple[str, ...], bucket: Bucket | None, currency: str | None) -> Changes:
    """What the stock is, by the paths of a scenario.

    Raises
    ------
    planner.scenario.InputError
        An alloy is not known, named twice, or the text is written otherwise.
    """
    found: dict[str, Any] = {}
    for text in stock:
        good, sign, amount = (part.strip() for part in text.partition("="))
        if good not in GOODS:
            near = nearest(good, GOODS)
            guess = f"did you mean {near}? " if near else ""
            zinced = "zinced ingots cannot be told; " if good == "zinced" else ""
            raise wrong("--stock", f"'{good}' is not known; {zinced}{guess}there are {listed(GOODS)}")
        if not sign or not amount:
            raise wrong("--stock", f"'{text}' is not understood; write it like 'hard=40 kg' or 'buckets=2'")
        path = f"stock.{good}" if good in ALLOYS else "stock.lots"
        if path in found:
            raise wrong("--stock", f"'{good}' is told twice; name each once, and weights or buckets")
        if good in ALLOYS:
            found[path] = amount
            continue
        if bucket is None:
            raise wrong("--stock", "the scenario has no shops, so what is in its buckets is not known")
        if good == "weights":
            found[path] = [] if _nothing(amount) else [lot_of(bucket, amount, 0.0, currency)]
            continue
        if not amount.isdecimal():
            raise wrong("--stock", f"'{amount}' is no number of buckets; write a whole number such as 2")
        if int(amount) > MOST_BUCKETS:
            raise wrong("--stock", f"{amount} buckets are more than the {MOST_BUCKETS} that can be played")
        found[path] = [lot_of(bucket, f"{bucket.mass_kg} kg", 0.0, currency)] * int(amount)
    return found


def _nothing(mass: str) -> bool:
    """Is it written as a mass of nothing?"""
    try:
        return quantity(mass, "kg") == 0.0
    except ValueError:
        return False
