"""What not knowing inputs does to the answer, and what to record next, in plain sentences.

In: a ``Study``. Out: sentences and rows of texts. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan
from typing import Final

from planner.report.phrases import counted, listed, quoted, reader_of
from planner.report.units import NOTHING, Reader, number
from planner.scenario.inputs import FACTORS
from planner.study import Study
from planner.study.unknown import Record, Told, Unknown, Unknowns

RECORDS: Final[dict[Record, str]] = {
    "melts": "melts: weights in, ingots out, hours, propane, wind",
    "sales": "sales: kg, price, who bought and when",
    "asked": "who asked and did not buy, once a month",
    "pickups": "pickups: what each bucket weighed and what was in it",
    "yard": "receipts of the scrap yard",
    "expenses": "what you paid for what",
    "hours": "your hours, by what you did",
    "": "measured or looked up once",
}
"""What to write down; the first word is the table of records."""

WORTH: Final[dict[Told, str]] = {
    "worth it": "worth knowing",
    "cannot tell": "cannot be told",
    "hardly": "hardly worth it",
}
COLUMNS: Final = (
    "Input",
    "records",
    "what is written may be off by",
    "share of the spread",
    "worth knowing for sure",
    "record next",
)


def unknown_words(study: Study) -> Iterator[str]:
    """That ranges cover what is not known, how much that is, and what to record next; nothing where all is known."""
    found, reader = study.unknowns, reader_of(study.subject)
    if found is None or not found.ranked:
        return
    guessed = sum(one.records == 0 for one in found.ranked)
    many = len(found.ranked) > 1
    of_these = f" ({guessed} without any record)" if guessed else ""
    yield (
        f"{counted(len(found.ranked), 'input')}{of_these} {'are estimates' if many else 'is an estimate'}, drawn anew "
        f"in every world, so how sure this is and every range cover what is not known of {'them' if many else 'it'}. "
        f"{_share(found)}"
    )
    yield _next(found, study.subject.worth_caring_about, reader)


def _share(found: Unknowns) -> str:
    if not found.option:
        return "There is no other option that it would tell apart."
    whose = f"the gain of {quoted(found.option)}"
    if isnan(found.share):
        worlds = counted(found.worlds, "world")
        return f"How much of what {whose} varies by comes from that cannot be told from {worlds}."
    return (
        f"About {number(100.0 * found.share)} parts in 100 of how widely {whose} varies from world to world come from "
        f"not knowing, the rest is chance (approximate, from {counted(found.worlds, 'world')})."
    )


def _next(found: Unknowns, caring: float, reader: Reader) -> str:
    worth = [one for one in found.ranked if one.told == "worth it"]
    unsure = [one for one in found.ranked if one.told == "cannot tell"]
    if worth:
        first = worth[0]
        more = f"; then {listed([one.name for one in worth[1:]])}" if len(worth) > 1 else ""
        return (
            f"To record next: {RECORDS[first.record]}. To know {quoted(first.name)} for sure before you choose would "
            f"be worth about {reader.money(first.worth)} {reader.period} (approximate){more}."
        )
    if not unsure:
        return (
            "No record would change this choice by much: to know any one of these inputs for sure is worth less than "
            f"{reader.money(caring)} {reader.period} (approximate)."
        )
    noise = [one.noise for one in unsure if not isnan(one.noise)]
    feigned = f": chance alone feigns up to {reader.money(max(noise))} {reader.period}" if noise else ""
    return (
        f"Whether a record would change this choice cannot be told from {counted(found.worlds, 'world')}{feigned}; "
        "more worlds would tell (study.replicates)."
    )


def unknown_rows(study: Study) -> Iterator[tuple[str, ...]]:
    """A row an input, as ``COLUMNS``."""
    reader = reader_of(study.subject)
    for one in study.unknowns.ranked if study.unknowns is not None else ():
        yield (
            one.name,
            number(one.records) if one.records else "guess",
            _off(one),
            NOTHING if isnan(one.share) else f"{number(100.0 * one.share)} in 100",
            _worth(one, reader),
            RECORDS[one.record],
        )


def _off(one: Unknown) -> str:
    """Nine times in ten."""
    if one.way in FACTORS:
        return f"{one.low:.2f} to {one.high:.2f} times"
    unit = f" {one.unit}" if one.unit else ""
    return f"{one.low:+.2g} to {one.high:+.2g}{unit}"


def _worth(one: Unknown, reader: Reader) -> str:
    if one.told == "worth it":
        return f"about {reader.money(one.worth)} {reader.period}"
    if one.told == "hardly":
        return "hardly anything"
    below = "" if isnan(one.noise) else f", below about {reader.money(max(one.worth, one.noise))}"
    return f"cannot be told{below}"


def how_read(study: Study) -> str:
    """What the figures mean."""
    return (
        "“May be off by”: nine times in ten, as the scenario says. “Share of the spread”: of how widely the gain "
        "varies from world to world, what goes along with this input. “Worth knowing for sure”: how much more the "
        f"choice would bring {study.subject.period}, on average, if this one input were known before; no record is "
        "worth more than that. All of it is approximate, told from the worlds that were played; where chance alone "
        "may feign as much, that is said."
    )
