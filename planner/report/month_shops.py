"""What a month says of shops, in plain sentences.

In: a ``Month``. Out: sentences, the answer first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from planner.report.month_phrases import by, ranged, reader_of, unsure
from planner.report.phrases import listed, quoted
from planner.report.units import number
from planner.study.month.answers import Month, ShopWorth


def shops(month: Month) -> tuple[str, ...]:
    """Which to court, which to drop, and how sure."""
    if not month.shops:
        return ()
    known = [one for one in month.shops if one.known]
    unknown = [one for one in month.shops if not one.known]
    parts = [part for part in (_kept(month, known), _court(month, unknown)) if part]
    worth = [one.name for one in unknown if one.worth.verdict == "more"]
    further = []
    if worth:
        further.append(f"Surely worth having, of those still to be asked: {listed(worth)}.")
    if unknown:
        first = unknown[0]
        further.append(
            f"A shop that is asked says yes {number(100 * first.yes_share)} times in 100, after "
            f"{number(first.asking_h, 1)} hours of asking on average; these hours are not taken off."
        )
    return (" ".join(parts), *further)


def _kept(month: Month, known: list[ShopWorth]) -> str:
    """Of the shops that give already."""
    reader = reader_of(month)
    if not known:
        return ""
    drop = [one for one in known if one.worth.verdict == "less"]
    if drop:
        worst = min(drop, key=lambda one: one.worth.more.mean)
        return f"Drop {listed([one.name for one in drop])}: {quoted(worst.name)} loses {by(worst.worth, reader)}."
    sure = [one.name for one in known if one.worth.verdict == "more"]
    best = known[0]
    if sure:
        told = f"Drop none; {listed(sure)} {'is' if len(sure) == 1 else 'are'} surely worth the trips"
        return f"{told}: {quoted(best.name)} brings {by(best.worth, reader)}."
    return (
        f"Drop none, though of none can be told that it is worth the trips: {quoted(best.name)} brings "
        f"{unsure(best.worth, reader)}."
    )


def _court(month: Month, unknown: list[ShopWorth]) -> str:
    """Of the shops that do not give yet."""
    if not unknown:
        return ""
    best, reader = unknown[0], reader_of(month)
    if best.worth.verdict == "more":
        return f"Court {quoted(best.name)}: if it says yes, it brings {by(best.worth, reader)}."
    if best.worth.verdict == "less":
        return f"Court none: even {quoted(best.name)} would lose {by(best.worth, reader)}."
    return f"Which to court cannot be told: even {quoted(best.name)} would bring {ranged(best.worth.more, reader)}."
