"""How an option's start-up cost is charged, and when it is paid back.

In: a ``Study`` and an option. Out: ``StartUpCharge``. Must not know: words, files.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.study.study import Study, Subject

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
    payback_money_months : float or None
        The same in money alone, hours not priced; None where it brings no money beside the charge.
    within : bool
        Is the first within the time that is played?
    """

    cost: float
    resale: float
    charged: float
    payback_months: float | None
    payback_money_months: float | None
    within: bool


def start_up_charge(study: Study, option: str) -> StartUpCharge | None:
    """Work it out against the base; None for an option that costs nothing to start."""
    one = study.options[study.row(option)]
    if not one.start_up_cost:
        return None
    subject, found = study.subject, study.findings
    charged = (one.start_up_cost - one.resale) / subject.years
    priced, money = (
        payback_months(one.start_up_cost, study.seen(option).difference(option, name).mean + charged, subject)
        for name in (found.measure, "profit")
    )
    played = MONTHS_A_YEAR * subject.days / 365.0
    within = priced is not None and priced <= played
    return StartUpCharge(one.start_up_cost, one.resale, charged, priced, money, within)


def payback_months(cost: float, running: float, subject: Subject) -> float | None:
    """Months until what is brought in the time that a figure stands for has paid the cost; None if it never does.

    Parameters
    ----------
    cost : float
        Paid at the start.
    running : float
        What is brought in that time, the cost not charged.
    subject : Subject
        What is studied.
    """
    if not running > 0.0:
        return None
    return MONTHS_A_YEAR * min(subject.days, 365) / 365.0 * cost / running
