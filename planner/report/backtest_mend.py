"""What to mend in a scenario, and what to write down, by what a look back shows.

In: a ``Backtest``. Out: sentences. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from planner.fit.backtest import Backtest
from planner.fit.judged import Judged, Verdict
from planner.report.month_phrases import day_of
from planner.report.phrases import joined

_LOOK_AT: Final[Mapping[str, str]] = {
    "pickups": (
        "how fast your shops fill buckets (supply), how often you drive (fetching.every), shops that give no more "
        "or that it does not know; write every visit into pickups, those in vain too"
    ),
    "melts": (
        "your free hours (owner.hours), the weather you melt in (melting.most_wind, melting.coldest), or the "
        "burner (melting.burner); write fuel, air and wind of each melt"
    ),
    "sales": (
        "how many ask and how often (demand), what they would pay, or your price (pricing); write who bought, and "
        "each month how many asked and did not buy"
    ),
    "hours": (
        "the minutes of a sale, of a stop, of setting up and cleaning up; write each spell of your time into hours"
    ),
    "asked": (
        "what people would pay and how often they ask (demand), or your stock; write whether it was too dear or "
        "there was nothing"
    ),
}
"""By table."""
_SIDE: Final[Mapping[tuple[str, str], str]] = {
    ("pickups", "above"): "You fetched more than it says",
    ("pickups", "below"): "You fetched less than it says",
    ("melts", "above"): "You melted more, or longer, than it says",
    ("melts", "below"): "You melted less, or shorter, than it says",
    ("sales", "above"): "You sold more than it says",
    ("sales", "below"): "You sold less than it says",
    ("hours", "above"): "It took you more hours than it says",
    ("hours", "below"): "It took you fewer hours than it says",
    ("asked", "above"): "More people asked and did not buy than it says",
    ("asked", "below"): "Fewer people asked and did not buy than it says",
}


def to_mend(found: Backtest) -> Iterator[str]:
    """Where to look, each table once for each side."""
    sure = dict.fromkeys((one.table, one.total) for one in found.judged if one.total != "agrees")
    for table, side in sure:
        yield f"{_SIDE[table, side]}: {_LOOK_AT[table]}."
    doubtful = dict.fromkeys((one.table, _side(one)) for one in found.judged if one.is_doubtful)
    for table, way in doubtful:
        if (table, way) not in sure:
            yield f"{_SIDE[table, way]}, by chance or not: {_LOOK_AT[table]}."


def _side(one: Judged) -> Verdict:
    return "above" if one.happened > one.foretold else "below"


def to_write(found: Backtest) -> Iterator[str]:
    """What is not judged, and why; of what more weeks would tell more."""
    if found.not_kept:
        yield f"Not judged, for no such table is kept: {joined(found.not_kept)}."
    for table, day in found.begun_late:
        yield f"Not judged: {table} begins only on {day_of(day.isoformat())}, after the first part."
    open_ = [
        one.label for one in found.judged if one.is_open and one.total == "agrees" and not one.is_doubtful
    ]
    if open_:
        yield f"More weeks would tell more of {joined(open_)}."
