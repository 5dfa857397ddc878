"""What one run leaves behind: plain rows, and the sums of them.

In: rows appended while the workshop runs. Out: ``Run``, picklable, without simpy.
Must not know: other runs, files, how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, NamedTuple

OPENING: Final = "opening stock"
"""Source of lots that were there at the start."""


class Entry(NamedTuple):
    """One row a movement of money. Opening cash plus all amounts is the cash at the end."""

    t_h: float
    kind: str
    amount: float
    note: str
    lot: int
    melt: int


class LotRow(NamedTuple):
    """One row a lot: a bucket bought, or weights that were there at the start. Masses kg."""

    lot: int
    t_h: float
    source: str
    mass_kg: float
    cost: float
    wet: bool
    hard_kg: float
    clip_kg: float
    soft_kg: float
    zinc_kg: float
    steel_kg: float
    rubbish_kg: float


class SortRow(NamedTuple):
    """One row a spell of sorting of one lot. What came out, kg."""

    t_h: float
    end_h: float
    lot: int
    mass_kg: float
    zinc_out_kg: float
    steel_out_kg: float
    rubbish_out_kg: float


class MeltRow(NamedTuple):
    """One row a melt, lit to poured (or to where it broke off). Masses kg, times h."""

    melt: int
    t_h: float
    end_h: float
    alloy: str
    lots: tuple[tuple[int, float], ...]
    """(lot, kg of it charged) of everything loaded."""
    loads: int
    charged_kg: float
    poured_kg: float
    dross_kg: float
    clip_kg: float
    zinc_kg: float
    steel_kg: float
    rubbish_kg: float
    in_pot_kg: float
    """Left in the pot: heel, or what froze."""
    on_stand_kg: float
    """The most that one stand bore: the pot and all that was in it."""
    zinc_share: float
    zinced: bool
    tin_share: float
    fuel_kg: float
    lit_h: float
    heating_h: float
    handling_h: float
    useful_j: float
    cost: float
    """Cost of the metal poured [currency]."""
    air_c: float
    wind_m_s: float
    cause: str
    """Empty if it was poured; otherwise what broke it off."""

    @property
    def lit(self) -> bool:
        """Did it burn? A pot that the weather overtakes while it is being filled stays cold."""
        return self.fuel_kg > 0.0


class SaleRow(NamedTuple):
    """One row a sale of ingots. Money is what came in, postage apart."""

    t_h: float
    buyers: str
    person: int
    channel: str
    alloy: str
    mass_kg: float
    price_per_kg: float
    money: float
    tin_kg: float
    tin_money: float
    metal_cost: float
    melts: tuple[tuple[int, float], ...]
    """(melt, kg of its ingots); melt 0 is the opening stock."""
    waited_h: float


class YardRow(NamedTuple):
    """One row a good that went to the yard, of ingots and weights one a melt or lot that they were drawn from."""

    t_h: float
    good: str
    """weights (as they came), lead (ingots), clips, zinc, steel or dross."""
    mass_kg: float
    price_per_kg: float
    lot: int
    melt: int


class TripRow(NamedTuple):
    """One row a trip."""

    t_h: float
    end_h: float
    kind: str
    km: float
    stops: str
    mass_kg: float
    lifts: int
    lifting_index: float
    way: str
    """How it was lifted: by hand, two people, plank, hand truck, hoist."""
    overloaded_share: float


class LostRow(NamedTuple):
    """One row an enquiry, or a part of one, that came to nothing. ``cause`` is price, stock, time or no-show."""

    t_h: float
    buyers: str
    person: int
    mass_kg: float
    cause: str


class HoursRow(NamedTuple):
    """One row a stretch of somebody's time. ``who`` is owner, helper or second person (who comes for the lifting)."""

    t_h: float
    end_h: float
    who: str
    what: str


class LimitRow(NamedTuple):
    """One row a stretch of free time of the owner that could not be used, and what held it back."""

    t_h: float
    hours: float
    limit: str


class MonthRow(NamedTuple):
    """One row a month's end, or a week's or a day's of a short horizon: what is there then."""

    t_h: float
    cash: float
    ingots_kg: float
    weights_kg: float
    """Weights not melted, sorted or not; what is in the pot apart."""


class Note(NamedTuple):
    """One row a thing that happened or was refused, with its cause: the diary of a run."""

    t_h: float
    what: str
    who: str
    cause: str
    lot: int
    melt: int


class Balance(NamedTuple):
    """Where every kilogram is at the end. Masses kg."""

    bought_kg: float
    opening_kg: float
    pewter_kg: float
    """Pewter that went into ingots."""
    sold_kg: float
    yard_kg: float
    """All goods that went to the yard."""
    ingots_kg: float
    lots_kg: float
    """Weights not melted, sorted or not."""
    clips_kg: float
    zinc_kg: float
    steel_kg: float
    dross_kg: float
    rubbish_kg: float
    in_pot_kg: float

    @property
    def error_kg(self) -> float:
        """Mass in minus mass found again; zero to rounding."""
        return (self.bought_kg + self.opening_kg + self.pewter_kg) - (
            self.sold_kg
            + self.yard_kg
            + self.ingots_kg
            + self.lots_kg
            + self.clips_kg
            + self.zinc_kg
            + self.steel_kg
            + self.dross_kg
            + self.rubbish_kg
            + self.in_pot_kg
        )


@dataclass(slots=True)
class Run:
    """One year (or more) of one option in one world."""

    opening_cash: float
    days: int
    ledger: list[Entry] = field(default_factory=list)
    lots: list[LotRow] = field(default_factory=list)
    sorts: list[SortRow] = field(default_factory=list)
    melts: list[MeltRow] = field(default_factory=list)
    sales: list[SaleRow] = field(default_factory=list)
    yard: list[YardRow] = field(default_factory=list)
    trips: list[TripRow] = field(default_factory=list)
    lost: list[LostRow] = field(default_factory=list)
    hours: list[HoursRow] = field(default_factory=list)
    limits: list[LimitRow] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    months: list[MonthRow] = field(default_factory=list)
    yard_lead_kg: float = 0.0
    """Ingots that went to the yard."""
    untouched_kg: float = 0.0
    """Weights that went to the yard as they came."""
    balance: Balance | None = None
    measures: dict[str, float] = field(default_factory=dict)
    """By name of the table of measures (planner.workshop.measures); nan where a ratio has no meaning."""
