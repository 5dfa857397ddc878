"""Up to which price of the owner's hour the recommended option stays the best.

In: a ``Study`` with a recommendation. Out: ``HourPrices``. Must not know: words, files.

What an option brings after the hours is ``profit - price * hours_h``, and neither term depends on the price. So in the
same worlds the mean lead over any other option is a straight line over the price, and where it crosses zero is exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from planner.study.intervals import FloatArray
from planner.study.study import DECIDING, Study


@dataclass(frozen=True, slots=True)
class HourPrices:
    """Prices of an hour between which the recommended option has the highest mean. Money in the scenario's currency.

    Parameters
    ----------
    price : float
        What the scenario says [currency/h].
    low, high : float
        Ends of the range [currency/h]; 0 and inf where nothing overtakes it.
    below, above : str or None
        The option that has the highest mean just beyond each end.
    """

    price: float
    low: float
    high: float
    below: str | None
    above: str | None


def hour_prices(study: Study) -> HourPrices | None:
    """Find the range; None without a recommendation, or where the rows do not tell it exactly."""
    best, broken = study.findings.best, study.refusals
    price = _price(study)
    if best is None or price is None:
        return None
    low, high = 0.0, inf
    below: str | None = None
    above: str | None = None
    for name in study.names:
        if name == best or broken[name, study.findings.outlook]:
            continue
        money, hours = (float(study.lead(best, name, measure).mean()) for measure in ("profit", "hours_h"))
        if not money - price * hours > 0.0:
            if money == hours == 0.0:
                continue  # the same option under another name
            return None  # not the highest mean even now: chosen because it costs nothing to start
        if hours > 0.0 and money / hours < high:
            high, above = money / hours, name
        elif hours < 0.0 and money / hours > low:
            low, below = money / hours, name
    return HourPrices(price, low, high, below, above)


def _rows(study: Study, measure: str) -> FloatArray:
    """One measure of every option under the outlook of the choice; shape (options, replicates)."""
    found: FloatArray = study.values[:, study.outlooks.index(study.findings.outlook), study.column(measure)]
    return found


def _price(study: Study) -> float | None:
    """The price that turns money before the hours into money after them in every run; None if there is no one price."""
    before, after, hours = (_rows(study, measure) for measure in ("profit", DECIDING, "hours_h"))
    worked = hours > 0.0
    if not worked.any():
        return None
    price = float(np.median((before - after)[worked] / hours[worked]))
    same = np.isclose(before - price * hours, after, rtol=1e-9, atol=1e-6) | np.isnan(after)
    return price if same.all() else None
