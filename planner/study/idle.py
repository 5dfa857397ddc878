"""What never happened in any world played, in plain sentences: a business that stands still says so.

In: a business, its measures by world. Out: sentences. Must not know: other options, how anything is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from planner.scenario.business import Business
from planner.study.intervals import FloatArray


def idle(business: Business, measured: Mapping[str, FloatArray], option: str) -> tuple[str, ...]:
    """What there is to mind about a business that does less than it could, or whose figures hide something.

    Parameters
    ----------
    business : Business
        Option and outlook applied.
    measured : mapping of str to array, shape (worlds,)
        Measures by name; nan where a run failed.
    option : str
        How it is called.
    """
    worlds = int((~np.isnan(measured["profit"])).sum())
    return tuple(_idle(business, measured, f'"{option}"', worlds)) if worlds else ()


def _idle(business: Business, measured: Mapping[str, FloatArray], option: str, worlds: int) -> Iterator[str]:
    where = "in the world played" if worlds == 1 else f"in any of the {worlds} worlds"

    def never(*names: str) -> bool:
        return all(bool(np.nanmax(np.abs(measured[name])) == 0.0) for name in names)

    if never("free_hours_h"):
        yield f"{option} leaves no free hours (owner.hours) {where}: nothing is fetched, melted or sold"
    elif never("hours_h"):
        yield f"nothing is done by {option} {where}: you work no hour"
    else:
        if business.fetching.on and never("buckets"):
            yield f"no bucket is fetched by {option} {where}"
        if business.melting.on and never("melts"):
            yield f"nothing is melted by {option} {where}"
        if never("sales"):
            yield f"nobody buys from {option} {where}"
    if never("stock_end_yard", "yard_receipts") and not never("stock_end_kg"):
        yield f"the yard pays nothing {where}: what {option} has in stock at the end counts nothing"
    if business.owner.hour_price_per_h == 0.0:
        yield "your hour has no price (owner.hour_price): an option that saves hours gains nothing by it"
