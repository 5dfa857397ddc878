"""What a month says of shops, in plain sentences.

In: a ``Month``. Out: sentences, the answer first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from planner.report.month_phrases import by, day_of, in_worlds, reader_of, unsure, worth
from planner.report.phrases import listed, quoted
from planner.report.units import number
from planner.study.month.answers import Gain, Month, ShopWorth, verdict_of


def shops(month: Month) -> tuple[str, ...]:
    """Which to court, which to drop, and how sure."""
    if not month.shops:
        return ()
    known = [one for one in month.shops if one.known]
    unknown = [one for one in month.shops if not one.known]
    parts = [part for part in (_kept(month, known), _court(month, unknown)) if part]
    further = []
    if known:
        further.append(f"{quoted(known[0].name)} brings more {in_worlds(known[0].worth, month)}.")
    surely = [one.name for one in unknown if one.worth.verdict == "more"]
    if surely:
        further.append(f"Surely worth the trips once they say yes: {listed(surely)}.")
    if unknown:
        further.append(
            f"Of asking, {reader_of(month).money(unknown[0].asking_cost)} for the hours are taken off, and only "
            f"{number(100 * unknown[0].yes_share)} shops in 100 say yes; what a shop gives after "
            f"{day_of(month.today.until)} comes on top."
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
    name, hours = quoted(best.name), f"{number(best.asking_h, 1)} hours of asking"
    yes = f"once it says yes it brings {worth(best.worth, reader)}"
    asked = Gain(best.courted, best.worth.share)
    verdict = verdict_of(best.courted)
    if verdict == "more":
        return f"Court {name}: {hours} bring {by(asked, reader)} on average; {yes}."
    if verdict == "less":
        return f"Court none: even with {name}, {hours} lose {by(asked, reader)} on average, though {yes}."
    return f"Whether to court any cannot be told: with {name}, {hours} bring {unsure(asked, reader)}; {yes}."
