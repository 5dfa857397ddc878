"""What a month says of buckets, in plain sentences.

In: a ``Month``. Out: sentences, the answer first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report.month_phrases import by, reader_of, slight, unsure, worth
from planner.report.phrases import counted
from planner.study.month.answers import Buckets, Gain, Month


def buckets(month: Month) -> tuple[str, ...]:
    """Whether to take those promised, how many more, and the most to pay."""
    found = month.buckets
    if found is None:
        return ()
    promised = _promised(month)
    return (" ".join((*promised, _take(found, month))), *_most_to_pay(found, month))


def _promised(month: Month) -> tuple[str, ...]:
    """Whether to take those promised."""
    gain, reader = month.buckets.promised if month.buckets else None, reader_of(month)
    if gain is None:
        return ()
    several = month.today.promised > 1
    those = f"the {counted(month.today.promised, 'bucket')} promised" if several else "the bucket promised"
    bring, lose = ("they bring", "they lose") if several else ("it brings", "it loses")
    if gain.verdict == "more":
        return (f"Take {those}: paid and fetched, {bring} {by(gain, reader)}.",)
    if gain.verdict == "less":
        return (f"Do not take {those}: paid and fetched, {lose} {by(gain, reader)}.",)
    return (_open(f"you take {those}", gain, month, bring.split()[0]),)


def _take(found: Buckets, month: Month) -> str:
    """How many more to take."""
    reader, first, most = reader_of(month), found.rows[0], len(found.rows)
    several = found.rows[found.take - 1] if found.take else first
    count = counted(max(found.take, 1), "more bucket")
    if found.take and several.net.verdict == "more":
        at_least = ", or still more (no more were played)" if found.take == most else ""
        bring = "they bring" if found.take > 1 else "it brings"
        return f"Take {count}{at_least}: paid and fetched, {bring} {by(several.net, reader)}."
    if not found.take and first.net.verdict == "less":
        return f"Take no more: paid and fetched, one more loses {by(first.net, reader)}."
    return _open(f"you take {count}", several.net, month, "they" if found.take > 1 else "it")


def _open(what: str, gain: Gain, month: Month, it: str) -> str:
    """What the runs do not decide: because it hardly matters, or because they cannot tell."""
    reader, brings = reader_of(month), "bring" if it == "they" else "brings"
    start = f"Whether {what} {'hardly matters' if slight(gain, month) else 'cannot be told'}"
    return f"{start}: paid and fetched, {it} {brings} {unsure(gain, reader)}."


def _most_to_pay(found: Buckets, month: Month) -> Iterator[str]:
    reader, first = reader_of(month), found.rows[0]
    each = found.rows[found.take - 1].each if found.take > 1 else None
    pay = f"The most to pay for one more, brought to your door: {worth(first.worth, reader)}"
    if each is not None:
        pay += f"; for each of {found.take}: {worth(each, reader)}"
    sold = worth(found.first_sale, reader)
    yield f"{pay}. With what is left at what it is expected to sell for, one is worth {sold}."
    costs = f"Shops ask {reader.money(found.asked)} on average"
    if found.fetching == found.fetching:
        costs += (
            f"; driving (all trips) and your hours fetching come to {reader.money(found.fetching)} a bucket, so where "
            f"you drive for it pay no more than {reader.money(max(first.worth.more.mean - found.fetching, 0.0))}"
        )
    yield f"{costs}. A bucket here is one of the usual mix, {reader.mass(found.mass_kg, 0)} {reader.mass_unit}."
