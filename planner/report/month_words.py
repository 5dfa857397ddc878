"""The answers of a month in plain sentences.

In: a ``Month``. Out: one answer a question: a sentence that says it and how sure, and what it hangs on.
Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from planner.report.answer import Answer
from planner.report.month_buckets import buckets
from planner.report.month_phrases import by, day_of, in_worlds, per_cent, reader_of, slight, unsure
from planner.report.month_shops import shops
from planner.report.phrases import counted, quoted, too_few
from planner.report.units import number
from planner.study.findings import LEAST_REPLICATES
from planner.study.month.answers import Drop, Gain, Month, Range

QUESTIONS: Final = {
    "buckets": "How many buckets to take, and the most to pay",
    "melt": "Melt, or sell untouched",
    "price": "Which price to ask",
    "drop": "When to drop the price",
    "light": "Light up on the next free day, or wait",
    "shops": "Which shop to court, which to drop",
    "left": "What will be left",
}


def answers(month: Month) -> tuple[Answer, ...]:
    """Every question in order, also those that could not be asked."""
    why = dict(month.left_out)
    said = {
        "buckets": buckets(month) or _not_asked(why, "buckets"),
        "melt": _melt(month) or _not_asked(why, "melt or sell"),
        "price": _price(month) or _not_asked(why, "price"),
        "drop": _drop(month) or _not_asked(why, "price drop"),
        "light": _light(month) or _not_asked(why, "lighting up"),
        "shops": shops(month) or _not_asked(why, "shops"),
        "left": _left(month),
    }
    return tuple(
        Answer(key, QUESTIONS[key], first, tuple(further)) for key, (first, *further) in said.items()
    )


def there(month: Month) -> str:
    """What is there today."""
    today, reader = month.today, reader_of(month)
    ingots = [
        f"{reader.mass(kg, 0)} {reader.mass_unit} {alloy}"
        for alloy, kg in (("hard", today.hard_kg), ("soft", today.soft_kg), ("mixed", today.mixed_kg))
        if kg > 0.0
    ]
    return (
        f"In stock, ingots: {', '.join(ingots) or 'none'}; weights: {reader.mass(today.weights_kg, 0)} "
        f"{reader.mass_unit}; cash: {reader.money(today.cash)}; promised: {counted(today.promised, 'bucket')}."
    )


def starts_from(month: Month) -> tuple[str, ...]:
    """What was played, from what, and what was not told and so taken from the scenario."""
    today, reader = month.today, reader_of(month)
    played = (
        f"Played from {day_of(today.start)} to {day_of(today.until)} ({today.days} days), in the same "
        f"{counted(month.worlds, 'world')} for every question. {_until_why(month)}"
    )
    sentences = [played.strip(), there(month)]
    missing = [one for one in ("hard", "soft", "mixed", "weights", "cash") if one not in today.given]
    if missing:
        sentences.append(
            f"Not told, so taken from the scenario: {', '.join(missing)}. Who knows of you and which shops give is as "
            "the scenario begins, too; weights told are of the mix that shops usually give."
        )
    if today.promised:
        sentences.append(
            f"{counted(today.promised, 'bucket')} promised ({reader.mass(today.promised_kg, 0)} {reader.mass_unit}): "
            f"counted as standing at home from the first day on, paid with {reader.money(today.promised_cost)} out of "
            "that cash; the trip for them is not played."
        )
    if today.hours:
        sentences.append(f"Hours told: {'; '.join(today.hours)}.")
    if today.start < today.written_from or today.until > today.written_until:
        sentences.append(
            f"The scenario is written for {day_of(today.written_from)} to {day_of(today.written_until)}; holidays and "
            "other dates in it say nothing of days before or after."
        )
    if month.option != "as today" or month.outlook != "expected":
        sentences.append(
            f"The business is {quoted(month.option)} under the outlook {quoted(month.outlook)}; what that costs to "
            "start is not counted."
        )
    return tuple(sentences)


def read_as(month: Month) -> str:
    """What the amounts are."""
    return (
        f"Amounts are money after your hours until {day_of(month.today.until)}; what is left then counts at the yard's "
        "price. “From … to” is where the mean lies, all ranges of one question together, "
        f"{number(100 * month.confidence)} times in 100; one year turns out better or worse than any mean."
    )


def minds(month: Month) -> tuple[str, ...]:
    """What makes the answers doubtful."""
    found = [
        f"as it is, this business breaks a hard limit: {one}. What breaks it is not done"
        for one in month.refused
    ]
    if few := too_few(month.worlds):
        found.append(few.rstrip("."))
    elif month.worlds < LEAST_REPLICATES:
        found.append(
            f"of {counted(month.worlds, 'world')} nothing is called sure, whatever their ranges: that takes "
            f"{LEAST_REPLICATES}"
        )
    if month.failed:
        found.append(
            f"{month.failed} of {counted(month.runs, 'run')} have no result, and their worlds do not count where they "
            f"are missing; the first: {month.failure}"
        )
    return tuple(f"Mind: {one}." for one in found)


def _until_why(month: Month) -> str:
    if month.today.until_given:
        return ""
    if month.today.until.endswith("-12-31"):
        return "That is the year's end, since you gave no --until."
    return "That is 120 days, since the year ends soon and you gave no --until."


def _not_asked(why: dict[str, str], key: str) -> tuple[str, ...]:
    return (f"Not asked: {why.get(key, 'nothing to ask')}.",)


def _melt(month: Month) -> tuple[str, ...]:
    gain, reader = month.untouched, reader_of(month)
    if gain is None:
        return ()
    said = {
        "more": f"Melt: it brings {by(gain, reader)} more than selling all weights untouched to the yard.",
        "less": f"Sell the weights untouched: melting brings {by(gain, reader)} less.",
        "cannot tell": f"Cannot be told: melting instead of selling untouched brings {unsure(gain, reader)}.",
    }[gain.verdict]
    further = [f"Melting brings more {in_worlds(gain, month)}."]
    if month.untouched_sale is not None:
        further.append(
            "Were what is left not counted at the yard's price but at what it is expected to sell for, melting would "
            f"bring {unsure(month.untouched_sale, reader)}."
        )
    return (said, *further)


def _price(month: Month) -> tuple[str, ...]:
    found, reader = month.price, reader_of(month)
    if found is None:
        return ()
    unit = f"{month.currency}/{reader.mass_unit}"

    def prices(factor: float) -> str:
        return (
            ", ".join(f"{alloy} {reader.per_mass(factor * price)}" for alloy, price in found.asked)
            + f" {unit}"
        )

    rows = {row.factor: row.gain for row in found.rows}
    best = rows.get(found.best)
    others = [row for row in found.rows if row.factor != found.best]
    edge = found.best in (found.rows[0].factor, found.rows[-1].factor)
    farthest = " (nothing beyond was played)" if edge else ""
    if best is None:
        said = f"Keep today's prices ({prices(1.0)}): no other brought more on average."
    elif best.verdict == "more":
        ask = f"Ask {per_cent(found.best)} ({prices(found.best)})"
        said = f"{ask}: it brings {by(best, reader)} more than today's prices{farthest}."
    else:
        said = (
            f"Cannot be told: {per_cent(found.best)} ({prices(found.best)}) is best on average, but brings "
            f"{unsure(best, reader)} than today's prices ({prices(1.0)})."
        )
    further = [f"It brings more {in_worlds(best, month)}."] if best is not None else []
    for verdict, words in (
        ("more", "Surely better than today's too"),
        ("less", "Surely worse than today's"),
        ("cannot tell", "Cannot be told from today's"),
    ):
        those = [per_cent(row.factor) for row in others if row.gain.verdict == verdict]
        if those:
            further.append(f"{words}: {'; '.join(those)}.")
    return (said, *further)


def _drop(month: Month) -> tuple[str, ...]:
    if not month.drops:
        return ()
    reader = reader_of(month)
    levels = ", ".join(reader.mass(row.stock_kg, 0) for row in month.drops[0].rows)
    return (
        _drop_when(month),
        f"At today's price there are expected to be: {'; '.join(_expected(one, month) for one in month.drops)}.",
        f"Both prices were played from then to the end with {levels} {reader.mass_unit} in stock, all else as today.",
    )


def _drop_when(month: Month) -> str:
    """On which of the days, from how much on; or on none."""
    reader, drops = reader_of(month), month.drops
    if not all(row.gain.verdict == "less" for one in drops for row in one.rows):
        return " ".join(_drop_on(one, month) for one in drops)
    most = f"{reader.mass(drops[0].rows[-1].stock_kg, 0)} {reader.mass_unit}"
    said = [f"{by(one.rows[-1].gain, reader)} less from {day_of(one.day)} on" for one in drops]
    return f"Do not drop it: even with {most} of ingots left, {per_cent(drops[0].factor)} brings {' and '.join(said)}."


def _drop_on(found: Drop, month: Month) -> str:
    """What to do on one day."""
    reader, less, day = reader_of(month), per_cent(found.factor), day_of(found.day)
    most = found.rows[-1]

    def mass(kg: float) -> str:
        return f"{reader.mass(kg, 0)} {reader.mass_unit} of ingots"

    if found.from_kg == found.from_kg:
        gain = next(row.gain for row in found.rows if row.stock_kg == found.from_kg)
        return (
            f"Drop it to {less} if {mass(found.from_kg)} or more are still there on {day}: that brings "
            f"{by(gain, reader)} more."
        )
    if all(row.gain.verdict == "less" for row in found.rows):
        return (
            f"Do not drop it on {day}: even with {mass(most.stock_kg)} left, {less} brings {by(most.gain, reader)} "
            "less."
        )
    return (
        f"On {day} it cannot be told: with {mass(most.stock_kg)} left, the most that was played, {less} brings "
        f"{unsure(most.gain, reader)}."
    )


def _expected(found: Drop, month: Month) -> str:
    return f"{_of_mass(Range(found.low_kg, found.middle_kg, found.high_kg), month)} on {day_of(found.day)}"


def _light(month: Month) -> tuple[str, ...]:
    found, reader = month.lighting, reader_of(month)
    if found is None:
        return ()
    day = f"{date.fromisoformat(found.day):%A}, {day_of(found.day)}"
    gain, here = found.gain, found.gain_cast
    cast = f"Metal is cast on it in {number(100 * found.cast_share)} % of the worlds"
    if found.cast_kg == found.cast_kg:
        cast += f", {reader.mass(found.cast_kg, 0)} {reader.mass_unit} then"
    held = [f"{label or 'nothing to melt'} ({number(100 * one)} %)" for label, one in found.held]
    cast += f". In the others: {', '.join(held)}." if held else "."
    if found.cast_share == 0.0:
        return (f"Wait: on {day} no metal is cast in any of the worlds.", cast)
    over_all = {
        "more": f"Light up on {day}: melting that day brings {by(gain, reader)} more than leaving the pot cold.",
        "less": f"Wait: melting on {day} brings {by(gain, reader)} less than leaving the pot cold.",
        "cannot tell": _light_open(day, gain, month),
    }[gain.verdict]
    further = [cast]
    if gain.verdict == "cannot tell" and here.verdict != "cannot tell":
        further.append(f"Over all worlds, also those in which no metal is cast: {unsure(gain, reader)}.")
        side = "more" if here.verdict == "more" else "less"
        over_all = (
            f"{'Light up if you can' if side == 'more' else 'Wait'}: where metal is cast on {day}, that brings "
            f"{by(here, reader)} {side} than leaving the pot cold."
        )
    further.append(
        f"Melting that day brings more {in_worlds(gain, month)}. All else is done on it as ever, fetching and selling "
        "too, and what is not melted then is melted later."
    )
    return (over_all, *further)


def _light_open(day: str, gain: Gain, month: Month) -> str:
    """Neither is surely better."""
    reader = reader_of(month)
    if slight(gain, month):
        return f"As you like: whether you melt on {day} or later hardly matters, it brings {unsure(gain, reader)}."
    return f"Cannot be told: melting on {day} instead of leaving the pot cold brings {unsure(gain, reader)}."


def _left(month: Month) -> tuple[str, ...]:
    found, reader = month.left, reader_of(month)
    until = day_of(month.today.until)
    money, lowest = month.money, found.lowest_cash
    ingots, weights = _of_mass(found.ingots, month), _of_mass(found.weights, month)
    cash = f"Cash is lowest at {reader.money(lowest.middle)} in the middle world, below {reader.money(lowest.low)}"
    brings = (
        f"Until then the business brings {reader.money(money.middle)} after your hours in the middle world, below "
        f"{reader.money(money.low)} in one of ten, above {reader.money(money.high)} in another."
    )
    return (
        f"On {until} {ingots} of ingots and {weights} of weights are left.",
        f"{cash} in one of ten.",
        brings,
    )


def _of_mass(found: Range, month: Month) -> str:
    reader = reader_of(month)
    low, middle, high = (reader.mass(kg, 0) for kg in (found.low, found.middle, found.high))
    return f"{middle} {reader.mass_unit} (one world in ten below {low}, one above {high})"


def left_out(month: Month) -> tuple[str, ...]:
    """Shops that were not asked about, and why."""
    return tuple(
        f"{quoted(name.removeprefix('shop '))}: {why}."
        for name, why in month.left_out
        if name.startswith("shop ")
    )
