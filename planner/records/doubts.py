"""What cannot be in the rows of a table: left out and told.

In: rows that were read. Out: the rows that are kept, and a remark on each that is doubtful.
Must not know: how a cell was written.

The rule: what is impossible is left out, what is improbable is kept; both are told. Impossible is what no pot, scale or
clock can give; improbable is what `planner.records.unlikely` tells.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import fsum, inf, isnan, nan
from typing import Any, Final

from planner.records.numbers import short
from planner.records.records import LINE, Remark
from planner.records.rows import LEFT_EMPTY, LEFT_OUT, Row, Rows
from planner.records.unlikely import KEPT, PLAUSIBLE, Bounds, in_words, numbers_of, slip_of, unlikely

ABOVE_NOTHING: Final = Bounds(0.0, inf, least=False)
FROM_NOTHING: Final = Bounds(0.0, inf)
A_DAY: Final = Bounds(0.0, 24.0, least=False)
POSSIBLE: Final[Mapping[str, Bounds]] = {
    "melts.hours": A_DAY,
    "melts.air": Bounds(-60.0, 60.0),
    "melts.wind": Bounds(0.0, 60.0),
    "sales.sold": ABOVE_NOTHING,
    "sales.time": Bounds(0.0, 24.0),
    "pickups.bucket": ABOVE_NOTHING,
    "pickups.paid": Bounds(-inf, inf),
    "yard.mass": ABOVE_NOTHING,
    "yard.price": Bounds(-inf, inf),
    "yard.money": Bounds(-inf, inf),
    "expenses.amount": Bounds(-inf, inf),
    "hours.hours": A_DAY,
}
"""By table and column; any other number is from nothing up. A shop or the yard may ask money for taking something."""
SAME: Final = 0.02
"""Price times mass may differ from the money by such a share; a buyer rounds (assumed)."""
ROUNDED_PRICE: Final = 0.012
"""Money a kg by which a price is off that was rounded to the cent, be it one a pound."""
ROUNDED_KG: Final = 0.06
"""Mass by which one is off that was rounded to a tenth [kg]."""
BROKEN_OFF: Final = 0.3
"""Of a melt that gave a smaller share of its weights the rest may have stayed in the pot (assumed)."""
EXCHANGED: Final = Bounds(0.25, 0.9)
"""Ingots are such a share of weights; the other way round the two were exchanged (assumed)."""
GRAM: Final = 1e-3
WHOLE_ROWS: Final = ("melts", "pickups", "yard", "asked")
"""Tables of which two rows are never the same to the gram. Two sales, spells or payments of one day may well be."""


def judged(read: Rows, currency: str | None) -> list[Row]:
    """Rows of a table that are kept; what is doubtful is told in ``read``."""
    rows = _possible(read, currency)
    rows = _not_twice(read, rows)
    for check in CHECKS.get(read.table.name, ()):
        rows = check(read, rows)
    unlikely(read, rows, currency)
    return rows


def _possible(read: Rows, currency: str | None) -> list[Row]:
    kept = []
    for row in read.rows:
        out = False
        for name, column in numbers_of(read):
            value = row.get(column.key, nan)
            if isnan(value) or POSSIBLE.get(name, FROM_NOTHING).holds(value):
                continue
            done = LEFT_OUT if column.needed else LEFT_EMPTY
            read.tell(row, column.name, f"{in_words(value, column, currency)} cannot be", done)
            out = out or column.needed
            row[column.key] = nan
        if not out:
            kept.append(row)
    return kept


def _not_twice(read: Rows, rows: Sequence[Row]) -> list[Row]:
    """The same row again: left out where it cannot be another one."""
    seen, kept = dict[tuple[Any, ...], int](), []
    for row in rows:
        key = tuple(str(value) for name, value in row.items() if name != LINE)
        first = seen.setdefault(key, int(row[LINE]))
        if first == row[LINE]:
            kept.append(row)
        elif read.table.name in WHOLE_ROWS or row.get("who"):
            read.tell(
                row, "", f"the same as line {first} in every cell", f"{LEFT_OUT}; taken as written down twice"
            )
        else:
            done = "kept; delete it if it was written down twice"
            read.tell(row, "", f"the same as line {first} in every cell", done)
            kept.append(row)
    return kept


def _more_out_than_in(read: Rows, rows: Sequence[Row]) -> list[Row]:
    """Ingots heavier than the weights, unless the melt before it left its metal in the pot."""
    kept, left_kg, usual = [], 0.0, PLAUSIBLE["melts.weights"]
    for row in sorted(rows, key=lambda row: row["date"]):
        weights, ingots = row["weights_kg"], row["ingots_kg"]
        if ingots > weights + left_kg + GRAM:
            words = f"{short(ingots)} kg of ingots out of {short(weights)} kg of weights"
            exchanged = "; are the two exchanged?" if EXCHANGED.holds(weights / ingots) else ""
            read.tell(row, "ingots", f"{words} cannot be{exchanged}", LEFT_OUT)
            continue
        broken_off = ingots < BROKEN_OFF * weights and weights <= usual.high
        left_kg = left_kg + weights - ingots if broken_off else 0.0
        kept.append(row)
    return sorted(kept, key=lambda row: int(row[LINE]))


def _parts(read: Rows, rows: Sequence[Row]) -> list[Row]:
    """More who did not buy for a reason than did not buy; a month that comes again."""
    kept, seen = [], dict[tuple[Any, ...], int]()
    for row in rows:
        month = (row["month"].year, row["month"].month, row.get("buyers", ""))
        first = seen.setdefault(month, int(row[LINE]))
        if first != row[LINE]:
            read.tell(row, "month", f"the same month as in line {first}", "both kept, and added up")
        causes = fsum(
            value for key in ("too_dear", "no_stock", "did_not_come") if not isnan(value := row.get(key, nan))
        )
        if causes > row["did_not_buy"]:
            words = (
                f"{short(causes)} for a reason out of {short(row['did_not_buy'])} who did not buy cannot be"
            )
            read.tell(row, "did not buy", words, LEFT_OUT)
        else:
            kept.append(row)
    return kept


def _money(read: Rows, rows: Sequence[Row]) -> list[Row]:
    """Price and money of the same mass; the one that is missing follows from the other."""
    mass = "sold_kg" if read.table.name == "sales" else "mass_kg"
    prices = moneys = 0
    for row in rows:
        price, money = row.get("price_per_kg", nan), row.get("money", nan)
        if isnan(price):
            prices += "price_per_kg" in row
            row["price_per_kg"] = money / row[mass]
        elif isnan(money):
            moneys += "money" in row
            row["money"] = price * row[mass]
        elif abs(money - price * row[mass]) > _rounding(money, price, row[mass]):
            words = (
                f"{short(row[mass])} kg at {short(price)} are {short(price * row[mass])}, not {short(money)}"
            )
            slip = slip_of(price * row[mass] / money, price=True) if money and price else ""
            read.tell(row, "price", f"{words}{f'; {slip}?' if slip else ''}", "both kept; the price counts")
    for count, name, of in ((prices, "price", "money"), (moneys, "money", "price")):
        if count:
            rows_ = f"{count} rows" if count > 1 else "1 row"
            words = f"{rows_} without {name}"
            read.remarks.append(Remark(read.source, 0, name, words, f"worked out from {of} and mass"))
    return list(rows)


def _rounding(money: float, price: float, mass: float) -> float:
    """By how much price times mass may be off."""
    return SAME * abs(money) + ROUNDED_PRICE * mass + ROUNDED_KG * abs(price)


def _asked_before(read: Rows, rows: Sequence[Row]) -> list[Row]:
    for row in rows:
        asked = row.get("asked_on")
        if asked is not None and asked > row["date"]:
            read.tell(row, "asked on", f"{asked.isoformat()} is after the sale", LEFT_EMPTY)
            row["asked_on"] = None
    return list(rows)


def _mix(read: Rows, rows: Sequence[Row]) -> list[Row]:
    """Parts of a bucket that are more than it."""
    parts = ("clip-on_kg", "stick-on_kg", "zinc_kg", "steel_kg", "rubbish_kg")
    for row in rows:
        sum_kg = fsum(value for key in parts if not isnan(value := row.get(key, nan)))
        bucket = row.get("bucket_kg", nan)
        if sum_kg > 1.1 * bucket:
            words = f"its parts are {short(sum_kg)} kg, the bucket {short(bucket)} kg"
            read.tell(row, "bucket", words, KEPT)
    return list(rows)


Check = Callable[[Rows, Sequence[Row]], list[Row]]
CHECKS: Final[Mapping[str, tuple[Check, ...]]] = {
    "melts": (_more_out_than_in,),
    "sales": (_asked_before, _money),
    "asked": (_parts,),
    "pickups": (_mix,),
    "yard": (_money,),
}
