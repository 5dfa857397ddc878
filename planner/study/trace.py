"""What happened in one run, when and why, as tables that can be read beside each other.

In: a ``Run`` and the first day. Out: ``Trace``: tables with a word on each column, and one lot followed by example.
Must not know: files, how anything is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final, NamedTuple

from planner.scenario.estimates import Drawn
from planner.scenario.inputs import FACTORS
from planner.study.tables import Cell, Table
from planner.workshop.result import (
    HoursRow,
    LimitRow,
    LostRow,
    LotRow,
    MeltRow,
    Note,
    Run,
    SaleRow,
    SortRow,
    TripRow,
    YardRow,
)

DECIMALS: Final = 6
"""Numbers are rounded to this many places, so that they can be added up by hand to a cent and to a gram."""

REFUSED: Final = "bucket left"
"""What the diary calls a bucket that was not taken; the owner looks again whenever there is time."""

Known = Sequence[tuple[Drawn, float]]
"""What is drawn in a world, and how many standard deviations it is off there."""

COLUMNS: Final[dict[str, str]] = {
    "date": "day on which it began",
    "time": "time of day at which it began; 24:00 is the end of the last day",
    "end_date": "day on which it ended",
    "end_time": "time of day at which it ended",
    "t_h": "hours since midnight of the first day, when it began; a melt begins with loading the cold pot",
    "end_h": "hours since midnight of the first day, when it ended",
    "what": "what happened; in hours.csv what the time was spent on",
    "who": "shop, buyers or person it concerns; in the diary of a movement of money what it was for",
    "cause": "why, or how it came about; in lost.csv price, stock, time or no-show",
    "lot": "number of the lot (bucket); 0 or empty: none",
    "melt": "number of the melt; 0 or empty: none, of ingots sold or gone to the yard the opening stock",
    "sale": "number of the sale, in the order of time",
    "kind": "kind of the movement of money, or of the trip",
    "amount": "money in (above zero) or out (below zero) [currency]",
    "cash": "cash at hand after this movement [currency]",
    "note": "what the movement was for",
    "source": "shop the lot came from",
    "mass_kg": "mass of the lot, load, sale, trip or enquiry [kg]",
    "cost": "what the lot cost, or the metal poured [currency]",
    "wet": "yes: the lot came wet and had to dry before it went near molten metal",
    "hard_kg": "lead of clip-on weights in the lot [kg]",
    "clip_kg": "steel clips of clip-on weights in the lot, or skimmed from the melt [kg]",
    "soft_kg": "lead of stick-on weights in the lot [kg]",
    "zinc_kg": "zinc in the lot, or skimmed from the melt [kg]",
    "steel_kg": "steel weights in the lot, or skimmed from the melt [kg]",
    "rubbish_kg": "rubbish in the lot, or skimmed from the melt [kg]",
    "zinc_out_kg": "zinc sorted out [kg]",
    "steel_out_kg": "steel sorted out [kg]",
    "rubbish_out_kg": "rubbish sorted out [kg]",
    "alloy": "hard (clip-on), soft (stick-on), mixed, or zinced (spoiled)",
    "loads": "how many loads the melt had",
    "load": "number of the load within its melt, in the order of loading",
    "charged_kg": "weights loaded [kg]",
    "poured_kg": "ingots poured [kg]",
    "dross_kg": "dross skimmed [kg]",
    "in_pot_kg": "left in the pot at the end: the heel, or what froze [kg]",
    "on_stand_kg": "the most that one stand bore, the pot and all that was in it [kg]",
    "zinc_share": "zinc in the metal poured [share]",
    "zinced": "yes: so much zinc dissolved that the metal is spoiled",
    "tin_share": "tin in the metal poured [share]",
    "fuel_kg": "propane burnt [kg]",
    "lit_h": "from loading the cold pot, which is then lit, until solid [h]",
    "heating_h": "of these, waiting for the heat [h]",
    "handling_h": "of these, loading, skimming, fluxing, pouring, cooling [h]",
    "useful_j": "heat that went into the charge [J]",
    "air_c": "air temperature when it began [degC]",
    "wind_m_s": "wind at 10 m when it began [m/s]",
    "buyers": "class of buyers",
    "person": "number of the person within the class, from 0",
    "good": "weights (as they came), lead (ingots), clips, zinc, steel or dross",
    "channel": "private, bulk or post",
    "price_per_kg": "price asked, or the yard's, and paid [currency/kg]",
    "money": "paid for the lead [currency]",
    "tin_kg": "tin sold beside it [kg]",
    "tin_money": "paid for the tin [currency]",
    "metal_cost": "what the metal sold had cost [currency]",
    "waited_h": "from the enquiry until the metal was handed over [h]",
    "km": "distance driven [km]",
    "stops": "where it led, in order",
    "lifts": "number of lifts, loading and unloading",
    "lifting_index": "highest lifting index of the trip (above 1: raised risk; above 3: refused)",
    "way": "how it was lifted: by hand, two people, plank, hand truck, hoist",
    "overloaded_share": "load above the vehicle's rating [share of it]",
    "hours": "how long it took, or how much free time was lost [h]",
    "limit": "what held the business back",
    "bought_kg": "weights bought, or there at the start [kg]",
    "opening_kg": "ingots there at the start [kg]",
    "pewter_kg": "pewter that went into ingots [kg]",
    "sold_kg": "ingots sold to buyers [kg]",
    "yard_kg": "everything that went to the yard [kg]",
    "ingots_kg": "ingots in stock at the end [kg]",
    "lots_kg": "weights not melted, at the end [kg]",
    "clips_kg": "clips at the end [kg]",
    "estimate": "what is drawn anew in every world, as `estimates` of the scenario calls it",
    "path": "where it stands in the scenario",
    "off": "how many standard deviations it is off in this world; above 0: more than the scenario says",
    "drawn": "what the scenario says is multiplied by this, or this is added to it",
    "measure": "name of the figure; `planner run --format json` has the same",
    "value": "its value",
}


class Named(NamedTuple):
    """One table of a trace."""

    name: str
    grain: str
    """What one row is."""
    table: Table


@dataclass(frozen=True, slots=True)
class Trace:
    """One run, told.

    Parameters
    ----------
    tables : tuple of Named
        In the order in which they are read.
    example : tuple of str
        One lot followed from the shop to a buyer, a sentence each; empty if none got that far.
    opening_cash, closing_cash : float
        [currency]
    """

    tables: tuple[Named, ...]
    example: tuple[str, ...]
    opening_cash: float
    closing_cash: float


def trace(run: Run, start: date, currency: str, known: Known = ()) -> Trace:
    """Tell one run as tables.

    Parameters
    ----------
    run : Run
        What the run left behind.
    start : date
        Its first day.
    currency : str
        Code of the currency, for the example.
    known : tuple of (Drawn, float)
        What was drawn in this world, and how many standard deviations it is off; there is no table of it without any.
    """
    clock = _Clock(start, 24.0 * run.days)
    closing = run.opening_cash + sum(entry.amount for entry in run.ledger)
    tables = (
        Named(
            "diary",
            "a thing that happened, in time order; a bucket left again that day is told once",
            _diary(run, clock),
        ),
        Named("ledger", "a movement of money; the first is the cash at the start", _ledger(run, clock)),
        Named("lots", "a lot: a bucket bought, or weights that were there", _plain(clock, LotRow, run.lots)),
        Named("sorts", "a spell of sorting", _plain(clock, SortRow, run.sorts)),
        Named(
            "melts",
            "a melt, lit to poured, or to where it broke off",
            _plain(clock, MeltRow, run.melts, "lots"),
        ),
        Named("loads", "a load of one lot into the pot", _loads(run)),
        Named("sales", "a sale of ingots", _sales(run, clock)),
        Named("sale_melts", "the ingots of one melt in one sale", _sale_melts(run)),
        Named(
            "yard",
            "a good that went to the yard, by the lot or melt that it was drawn from",
            _plain(clock, YardRow, run.yard),
        ),
        Named("trips", "a trip", _plain(clock, TripRow, run.trips)),
        Named("lost", "an enquiry, or a part of one, that came to nothing", _plain(clock, LostRow, run.lost)),
        Named("hours", "a stretch of somebody's time", _plain(clock, HoursRow, run.hours)),
        Named("limits", "free time of the owner that could not be used", _plain(clock, LimitRow, run.limits)),
        Named("balance", "where all metal is at the end: one row", _balance(run)),
        Named("measures", "a figure of the run", _measures(run)),
        *([Named("estimates", "a value that was drawn in this world", _estimates(known))] if known else []),
    )
    return Trace(tables, tuple(_example(run, clock, currency)), run.opening_cash, closing)


def _estimates(known: Known) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (one.name, lever.path, _cell(z), _factor_or_amount(one, z))
        for one, z in known
        for lever in one.axis.levers
    ]
    return Table(("estimate", "path", "off", "drawn"), rows)


def _factor_or_amount(one: Drawn, z: float) -> str:
    """Such as `*0.93` or `+0.2 EUR/h`, as behind ``--set path``."""
    moved = one.at(z)
    if one.way in FACTORS:
        return f"{'*' if one.way == 'times' else '~'}{moved:.6g}"
    return f"{moved:+.6g} {one.axis.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class _Clock:
    """Dates and times of day; what falls due when the last day is over still belongs to it, at 24:00."""

    start: date
    horizon_h: float

    def day(self, t_h: float) -> str:
        return self._at(t_h - 24.0 if self._over(t_h) else t_h).date().isoformat()

    def time(self, t_h: float) -> str:
        return "24:00" if self._over(t_h) else f"{self._at(t_h):%H:%M}"

    def _over(self, t_h: float) -> bool:
        return round(t_h * 60.0) == round(self.horizon_h * 60.0)

    def _at(self, t_h: float) -> datetime:
        begin = datetime(self.start.year, self.start.month, self.start.day)
        return begin + timedelta(minutes=round(t_h * 60.0))


def _cell(value: Any) -> Cell:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0
    return value if isinstance(value, (str, int)) else str(value)


_WHEN = (("date", "time", "t_h"), ("end_date", "end_time", "end_h"))


def _plain(clock: _Clock, kind: type[Any], rows: Iterable[Any], without: str = "") -> Table:
    """Rows of one kind as they are, with day and time of day before hours, in time order."""
    found = sorted(rows, key=lambda row: row.t_h)
    names = [name for name in kind._fields if name != without]
    columns: list[str] = []
    for name in names:
        columns += next((when for when in _WHEN if when[2] == name), (name,))
    lines = []
    for row in found:
        cells: list[Cell] = []
        for name in names:
            value = getattr(row, name)
            if name in ("t_h", "end_h"):
                cells += [clock.day(value), clock.time(value)]
            cells.append(_cell(value))
        lines.append(tuple(cells))
    return Table(tuple(columns), lines)


def _ledger(run: Run, clock: _Clock) -> Table:
    cash = run.opening_cash
    rows: list[tuple[Cell, ...]] = [
        (clock.day(0.0), clock.time(0.0), 0.0, "cash at the start", _cell(cash), _cell(cash), "", 0, 0)
    ]
    for one in sorted(run.ledger, key=lambda entry: entry.t_h):
        cash += one.amount
        when = (clock.day(one.t_h), clock.time(one.t_h), _cell(one.t_h))
        rows.append((*when, one.kind, _cell(one.amount), _cell(cash), one.note, one.lot, one.melt))
    return Table(("date", "time", "t_h", "kind", "amount", "cash", "note", "lot", "melt"), rows)


def _loads(run: Run) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (melt.melt, number, lot, _cell(mass))
        for melt in run.melts
        for number, (lot, mass) in enumerate(melt.lots, 1)
    ]
    return Table(("melt", "load", "lot", "mass_kg"), rows)


def _sales(run: Run, clock: _Clock) -> Table:
    plain = _plain(clock, SaleRow, run.sales, "melts")
    rows = [(number, *row) for number, row in enumerate(plain.rows, 1)]
    return Table(("sale", *plain.columns), rows)


def _sale_melts(run: Run) -> Table:
    ordered = sorted(run.sales, key=lambda sale: sale.t_h)
    rows: list[tuple[Cell, ...]] = [
        (number, melt, _cell(mass)) for number, sale in enumerate(ordered, 1) for melt, mass in sale.melts
    ]
    return Table(("sale", "melt", "mass_kg"), rows)


def _diary(run: Run, clock: _Clock) -> Table:
    """Notes, movements of money, time spent and time lost, in one order."""
    found: list[tuple[float, tuple[Cell, ...]]] = []
    found += [
        (n.t_h, (n.what, n.who, n.cause, n.lot or "", n.melt or "", "", "")) for n in _told_once(run.notes)
    ]
    found += [
        (e.t_h, (e.kind, e.note, "", e.lot or "", e.melt or "", "", _cell(e.amount))) for e in run.ledger
    ]
    found += [(h.t_h, (h.what, h.who, "", "", "", _cell(h.end_h - h.t_h), "")) for h in run.hours]
    found += [
        (m.t_h, ("free time not used", "owner", m.limit, "", "", _cell(m.hours), "")) for m in run.limits
    ]
    found.sort(key=lambda row: row[0])
    columns = ("date", "time", "t_h", "what", "who", "cause", "lot", "melt", "hours", "amount")
    return Table(columns, [(clock.day(t), clock.time(t), _cell(t), *row) for t, row in found])


def _told_once(notes: Iterable[Note]) -> Iterator[Note]:
    """Notes without the same refusal at every further try of a day."""
    told: set[tuple[int, str, str, str]] = set()
    for note in notes:
        key = (int(note.t_h // 24.0), note.what, note.who, note.cause)
        if note.what == REFUSED and key in told:
            continue
        told.add(key)
        yield note


def _balance(run: Run) -> Table:
    if run.balance is None:
        return Table((), [])
    return Table(run.balance._fields, [tuple(_cell(value) for value in run.balance)])


def _measures(run: Run) -> Table:
    return Table(("measure", "value"), [(name, _cell(value)) for name, value in run.measures.items()])


def _example(run: Run, clock: _Clock, currency: str) -> Iterable[str]:
    """The first lot whose ingots reached a buyer, step by step."""
    ordered = sorted(run.sales, key=lambda sale: sale.t_h)
    for melt in run.melts:
        sold = [(i, sale) for i, sale in enumerate(ordered, 1) if any(m == melt.melt for m, _ in sale.melts)]
        lot = next((one for one in run.lots if any(number == one.lot for number, _ in melt.lots)), None)
        if lot is None or not sold or melt.poured_kg <= 0.0:
            continue
        number, sale = sold[0]
        charged = sum(mass for of, mass in melt.lots if of == lot.lot)
        part = sum(mass for of, mass in sale.melts if of == melt.melt)
        yield (
            f"lots.csv: lot {lot.lot} came from {lot.source} on {clock.day(lot.t_h)}: {lot.mass_kg:.1f} kg for "
            f"{lot.cost:.2f} {currency}."
        )
        yield f"loads.csv: melt {melt.melt} took {charged:.1f} kg of lot {lot.lot}."
        yield (
            f"melts.csv: melt {melt.melt} was begun on {clock.day(melt.t_h)} at {clock.time(melt.t_h)}, took "
            f"{melt.lit_h:.1f} h and {melt.fuel_kg:.2f} kg of propane, and gave {melt.poured_kg:.1f} kg of "
            f"{melt.alloy} ingots that cost {melt.cost:.2f} {currency}."
        )
        yield f"sale_melts.csv: {part:.1f} kg of them went into sale {number}."
        yield (
            f"sales.csv: sale {number} on {clock.day(sale.t_h)}: {sale.buyers}, person {sale.person}, took "
            f"{sale.mass_kg:.1f} kg at {sale.price_per_kg:.2f}: {sale.money:.2f} {currency}."
        )
        yield "ledger.csv: the same amount stands there at the same hour."
        return
