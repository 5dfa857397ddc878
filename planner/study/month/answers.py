"""The answers of a month: plain values, kept and read back as they are.

In: numbers. Out: ``Month``. Must not know: how they were found, how they are told.

Money is in the scenario's currency, until the last day played, what is left then at the yard's price, the owner's hours
priced. An interval says where a mean lies; those of one question hold together.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.study.findings import LEAST_REPLICATES
from planner.study.intervals import Interval
from planner.study.month.today import Today
from planner.trade.safety import Caution


def verdict_of(more: Interval) -> str:
    """``more`` or ``less`` where the runs say so; else ``cannot tell``, as always of few worlds."""
    if more.n < LEAST_REPLICATES:
        return "cannot tell"
    return "more" if more.low > 0.0 else "less" if more.high < 0.0 else "cannot tell"


@dataclass(frozen=True, slots=True)
class Gain:
    """What one way brings more than the other in the same worlds."""

    more: Interval
    share: float
    """Of the worlds in which it brings more."""

    @property
    def verdict(self) -> str:
        """What the runs say; see ``verdict_of``."""
        return verdict_of(self.more)


@dataclass(frozen=True, slots=True)
class FurtherBucket:
    """One bucket more than the one before."""

    number: int
    worth: Gain
    """The most to pay for it, at home."""
    each: Gain
    """The most to pay for each of all up to this one."""
    net: Gain
    """What all up to this one bring once each is paid for and fetched."""


@dataclass(frozen=True, slots=True)
class Buckets:
    """How many to take, and the most to pay.

    Parameters
    ----------
    mass_kg : float
        Of such a bucket.
    asked : float
        What shops ask for one, on average.
    fetching : float
        Driving and hours that one costs beside, on average; the trips to yard and buyers are in the driving, so it is
        rather too much. nan where nothing is fetched.
    rows : tuple of FurtherBucket
        In order.
    take : int
        So many bring most on average once they are paid for and fetched; 0 if none does.
    """

    mass_kg: float
    asked: float
    fetching: float
    rows: tuple[FurtherBucket, ...]
    take: int
    first_sale: Gain
    """What the first is worth at home where what is left counts at what it is expected to sell for."""
    promised: Gain | None
    """What the promised ones bring, paid and fetched like all others; None where none are."""


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One price against today's."""

    factor: float
    gain: Gain


@dataclass(frozen=True, slots=True)
class Price:
    """Which price to ask.

    Parameters
    ----------
    asked : tuple of (str, float)
        Today's price by alloy [currency/kg].
    rows : tuple of PriceRow
        By factor.
    best : float
        Factor with the highest mean; 1 where that is today's price.
    """

    asked: tuple[tuple[str, float], ...]
    rows: tuple[PriceRow, ...]
    best: float


@dataclass(frozen=True, slots=True)
class DropRow:
    """So much left on the day, at the lower price against today's."""

    stock_kg: float
    gain: Gain


@dataclass(frozen=True, slots=True)
class Drop:
    """When to drop the price.

    Parameters
    ----------
    day : str
        The day that was looked at.
    factor : float
        What the lower price is of today's.
    rows : tuple of DropRow
        By what is left.
    from_kg : float
        With this much and more the lower price surely brings more; nan where no amount that was played is enough.
    low_kg, middle_kg, high_kg : float
        What is expected to be left then: one world in ten below, the middle one, one in ten above.
    """

    day: str
    factor: float
    rows: tuple[DropRow, ...]
    from_kg: float
    low_kg: float
    middle_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class Lighting:
    """Whether the next day to melt is worth it.

    Parameters
    ----------
    day : str
        Which.
    gain : Gain
        Against nothing melted on that day, all else done as ever.
    cast_share : float
        Of the worlds in which metal is cast on it.
    cast_kg : float
        Then, on average.
    gain_cast : Gain
        The same gain in these worlds alone.
    held : tuple of (str, float)
        What is in the way in the others, and in which share of all worlds, most often first.
    """

    day: str
    gain: Gain
    cast_share: float
    cast_kg: float
    gain_cast: Gain
    held: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class ShopWorth:
    """What one shop is worth until the last day.

    Parameters
    ----------
    name : str
        The shop.
    known : bool
        Does it give already?
    worth : Gain
        With it against without.
    hours_h, km : Interval
        What it takes more.
    per_hour, per_km : float
        Money before hours for each hour more, money after hours for each km more; nan where it surely takes none.
    yes_share, asking_h : float
        How often a shop that is asked says yes, and hours of asking until it is found; 1 and 0 if it gives already.
    courted : Interval
        What asking brings on average: its worth as often as it says yes, less the hours of asking at their price; of
        one that gives already its worth.
    """

    name: str
    known: bool
    worth: Gain
    hours_h: Interval
    km: Interval
    per_hour: float
    per_km: float
    yes_share: float
    asking_h: float
    asking_cost: float
    """Of these hours, at the owner's price [currency]."""
    courted: Interval


@dataclass(frozen=True, slots=True)
class Range:
    """One world in ten below, the middle one, one in ten above."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class StockRow:
    """What is there at the end of a week or month [kg]."""

    day: str
    """First day of it, or the month."""
    ingots: Range
    weights: Range


@dataclass(frozen=True, slots=True)
class Left:
    """What is left on the last day [kg], and how low cash gets until then."""

    ingots: Range
    weights: Range
    lowest_cash: Range
    course: tuple[StockRow, ...]


@dataclass(frozen=True, slots=True)
class Month:
    """All answers; None where a question was not asked.

    Parameters
    ----------
    title, file, option, outlook, currency, units : str
        What was played.
    seed, worlds : int
        Start of all chance, and how many worlds.
    confidence, caring : float
        How sure, and what difference does not matter [currency].
    today : Today
        What it starts from.
    left_out : tuple of (str, str)
        What was not asked, and why.
    refused : tuple of str
        Hard limits that the business breaks as it is.
    failed : int
        Runs without a result, of ``runs``; their worlds do not count where they are missing.
    failure : str
        What went wrong in the first of them.
    """

    title: str
    file: str
    option: str
    outlook: str
    currency: str
    units: str
    seed: int
    worlds: int
    confidence: float
    caring: float
    today: Today
    money: Range
    """After hours, until the last day, as it is; without what the opening stock is worth."""
    buckets: Buckets | None
    untouched: Gain | None
    untouched_sale: Gain | None
    """The same where what is left counts at what it is expected to sell for."""
    price: Price | None
    drops: tuple[Drop, ...]
    lighting: Lighting | None
    shops: tuple[ShopWorth, ...]
    left: Left
    left_out: tuple[tuple[str, str], ...]
    refused: tuple[str, ...]
    cautions: tuple[Caution, ...]
    runs: int
    failed: int
    failure: str
    versions: tuple[tuple[str, str], ...]
