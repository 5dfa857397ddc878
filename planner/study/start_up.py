"""How an option's start-up cost is charged, and when it is paid back.

In: a ``Study`` and an option. Out: ``StartUpCharge``. Must not know: words, files.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.study.study import Study

MONTHS_A_YEAR = 12.0


@dataclass(frozen=True, slots=True)
class StartUpCharge:
    """What starting an option costs, and how its figures carry that. Money in the scenario's currency.

    Parameters
    ----------
    cost, resale : float
        Paid at the start; what the gear still brings at the end.
    charged : float
        Cost less resale, in each year's figure (in the whole figure, where less than a year is played).
    payback_months : float or None
        Months until what the option brings beside this charge has paid the cost back, at its mean and with the owner's
        hours priced; None where it brings nothing beside it.
    within : bool
        Is that within the time that is played?
    """

    cost: float
    resale: float
    charged: float
    payback_months: float | None
    within: bool


def start_up_charge(study: Study, option: str) -> StartUpCharge | None:
    """Work it out against the base; None for an option that costs nothing to start."""
    one = study.options[study.row(option)]
    if not one.start_up_cost:
        return None
    subject, found = study.subject, study.findings
    charged = (one.start_up_cost - one.resale) / subject.years
    running = study.difference(option, found.measure, found.outlook).mean + charged
    months = (
        MONTHS_A_YEAR * min(subject.days, 365) / 365.0 * one.start_up_cost / running if running > 0 else None
    )
    played = MONTHS_A_YEAR * subject.days / 365.0
    return StartUpCharge(
        one.start_up_cost, one.resale, charged, months, months is not None and months <= played
    )
