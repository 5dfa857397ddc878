"""What holds a business back: the limit that its owner's free hours were lost to most.

In: a ``Study`` and an option. Out: ``HeldBack``. Must not know: words, files.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.study.study import Study
from planner.workshop.measures import LIMITS as LIMITS
from planner.workshop.measures import limit_measure

NOTHING = "nothing to do"
"""Free hours of an owner who has no task are held back by nothing."""


@dataclass(frozen=True, slots=True)
class HeldBack:
    """The limit that most free hours were lost to. Means over the worlds, in the unit of the table of measures.

    Parameters
    ----------
    limit : str
        Its name.
    words : str
        What to call it.
    hours : float
        Free hours that went unused for it [h].
    free_hours : float
        Free hours there were [h].
    """

    limit: str
    words: str
    hours: float
    free_hours: float


def held_back(study: Study, option: str) -> HeldBack | None:
    """What holds an option back most, under the outlook of the choice.

    None where no free hour went unused, and where ingots lie in stock that nobody buys: more hours would not help.
    """
    under, known = study.findings.outlook, {one.name for one in study.measures}
    if _unsold(study, option, under):
        return None
    found = [
        HeldBack(
            limit,
            words,
            study.level(option, limit_measure(limit), under).mean,
            study.level(option, "free_hours_h", under).mean,
        )
        for limit, words in LIMITS
        if limit_measure(limit) in known and limit != NOTHING
    ]
    most = max(found, key=lambda one: one.hours, default=None)
    return most if most is not None and most.hours > 0.0 else None


def _unsold(study: Study, option: str, under: str) -> bool:
    sold, at_the_yard, left_kg = (
        study.level(option, name, under).mean for name in ("sales", "yard_lead_kg", "stock_end_kg")
    )
    return sold == 0.0 and at_the_yard == 0.0 and left_kg > 0.0
