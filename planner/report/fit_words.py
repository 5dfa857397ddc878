"""A fit in words and figures, for the terminal and the page alike.

In: a ``Fit``. Out: texts. Must not know: where they stand; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.fit.activities import SAID
from planner.fit.estimate import MOST_MORE, Estimate, Untold
from planner.fit.fitting import Fit
from planner.fit.writing import amount
from planner.report.phrases import counted, joined

PRIOR: Final = (
    "Few records move a value little: each estimate lies between what the scenario said and what the records say, by "
    "how sure either is. How far the truth may lie from a first guess is assumed; each chart says it."
)


HEADS: Final = ("What", "was", "now", "from", "to", "records")
MOST_NAMED: Final = 5
"""In a sentence."""
BETWEEN: Final = "From, to: between these it lies nine times in ten."


def row_of(one: Estimate) -> tuple[str, ...]:
    """A cell for each of ``HEADS``."""
    low, high = one.interval
    said = not one.unit or one.name.startswith(SAID.get(one.unit, one.unit))
    named = one.name if said else f"{one.name} [{one.unit}]"
    return (named, *(amount(x, "") for x in (one.before, one.value, low, high)), str(one.records))


def told_words(one: Estimate) -> str:
    """One estimate in a sentence."""
    low, high = one.interval
    told = (
        f"{amount(one.value, one.unit)}, between {amount(low, '')} and {amount(high, '')} nine times in ten"
    )
    return f"{told}; was {amount(one.before, one.unit)}. Records: {one.records}."


def read_words(fit: Fit) -> Iterator[str]:
    """What was read."""
    if fit.days is None:
        yield "The records hold no row."
        return
    rows = ", ".join(f"{name} {count}" for name, count in fit.rows.items() if count)
    yield f"Records from {fit.days[0].isoformat()} to {fit.days[1].isoformat()}; rows: {rows}."
    if any(one.records for one in fit.scenario.estimates.drawn):
        yield (
            "This scenario is a fitted one: if the same records were put into it before, they count twice. Fit the one "
            "that it extends instead."
        )
    if fit.remarks:
        told = counted(len(fit.remarks), "remark")
        yield f"{told} on what was not plain in them: planner records check tells each, line by line."


def summary_words(fit: Fit) -> str:
    """Which values are elsewhere than the scenario said, the surest first."""
    elsewhere = sorted((one for one in fit.estimates if one.is_elsewhere), key=_how_far, reverse=True)
    told = counted(len(fit.estimates), "value")
    if not elsewhere:
        return f"Of {told} that your records tell, none lies clearly elsewhere than the scenario said."
    first = joined([_moved(one) for one in elsewhere[:MOST_NAMED]])
    others = len(elsewhere) - MOST_NAMED
    more = f"; and {counted(others, 'more', 'more')}" if others > 0 else ""
    lie = "lies" if len(elsewhere) == 1 else "lie"
    return (
        f"Of {told} that your records tell, {len(elsewhere)} {lie} clearly elsewhere than the scenario said: "
        f"{first}{more}."
    )


def _how_far(one: Estimate) -> float:
    return abs(one.shift) / one.sd


def _moved(one: Estimate) -> str:
    return f"{one.name} ({amount(one.value, one.unit)}, was {amount(one.before, '')})"


def weak_words(fit: Fit) -> Iterator[str]:
    """What records tell less of than was thought before, and how many more would; months of one kind together."""
    alike: dict[str, list[Estimate]] = {}
    for one in fit.estimates:
        if one.is_weak:
            alike.setdefault(one.name.rpartition(" in ")[0] or one.name, []).append(one)
    for those in alike.values():
        further = "" if len(those) == 1 else f" and {counted(len(those) - 1, 'more like it', 'more like it')}"
        needed = [one.more for one in those if one.more is not None]
        if not needed:
            yield f"{those[0].name}{further}: rows of {those[0].table} would tell"
            continue
        if min(needed) > MOST_MORE:
            yield f"{those[0].name}{further}: {those[0].table} hardly tells it; a guess stays a guess"
            continue
        number = str(needed[0]) if len(set(needed)) == 1 else f"{min(needed)} to {max(needed)}"
        each = " for each" if len(those) > 1 else ""
        yield f"{those[0].name}{further}: about {number} more in {those[0].table} would tell{each}"


def untold_words(one: Untold) -> str:
    """What could be told and is not."""
    return f"{one.name}: {one.why}"
