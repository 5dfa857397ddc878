"""What holds a business back and what to grow first, in plain sentences.

In: a ``Growth``. Out: sentences. Must not know: tables, pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from planner.report.phrases import counted, joined, months, more, quoted, reach, reader_of, too_few
from planner.report.units import KG_PER_LB, Reader, number
from planner.study import Interval
from planner.study.growth import Growth, Lost, Worth

SHOWN: Final = 3
"""How many of a kind are named one by one in a sentence."""
LEAST_H: Final = 0.05
"""Hours fewer than this are told as none."""
CENTS_BELOW: Final = 10.0
"""Amounts smaller than this are told with their cents."""


def advice(found: Growth) -> Iterator[str]:
    """What to grow first, what comes after it, and what would be in vain."""
    few = too_few(found.subject.replicates)
    if few is not None:
        yield f"Too few runs to say what to grow first: {few}"
        return
    if found.base_failed and not found.worths:
        those = counted(found.base_failed, "run")
        yield (
            f"Nothing can be said of what to grow first: {those} of {found.subject.replicates} of the business as it "
            "is have no result."
        )
        return
    reader, first = reader_of(found.subject), found.first
    if found.refusals:
        reason = found.refusals[0].reason
        yield f"{_business(found)} breaks a hard limit ({reason}): put that right before anything is grown."
        if first is None:
            return
        yield "What is named here puts it right."
    if first is None:
        yield (
            f"Nothing to grow first: in {counted(found.subject.replicates, 'world')}, a little more of no single thing "
            "surely brings more."
        )
    else:
        yield from _first(found, first, reader)
    yield from _others(found, reader)


def _first(found: Growth, first: Worth, reader: Reader) -> Iterator[str]:
    yield (
        f"Grow this first: {first.words}. It is worth {reach(first.gain, reader)} {reader.period}"
        f"{_each(first, reader)}, your hours priced, before what it costs."
    )
    yield f"{_in_money(first, reader)} {_price(first, reader)}"
    caring = found.subject.worth_caring_about
    if first.gain.high < caring:
        yield f"That is less than the {reader.money(caring)} {reader.period} that you care about."
    level = [one for one in found.worths if one.key in found.level_with_first]
    if level:
        yield f"As good as that, as far as these worlds tell: {_named(level, reader)}."
    cheap = found.first_for_money
    if cheap is not None and cheap is not first and cheap.price is not None and cheap.per_money is not None:
        yield (
            f"Most for its price, of what has one here: {cheap.words}; each {reader.currency} spent on it brings from "
            f"{amount(cheap.per_money.low)} to {amount(cheap.per_money.high)} {reader.period}."
        )


def _others(found: Growth, reader: Reader) -> Iterator[str]:
    told = {found.first.key, *found.level_with_first} if found.first else set()
    those = {
        verdict: [one for one in found.worths if one.verdict == verdict and one.key not in told]
        for verdict in ("more", "unsure", "nothing", "less")
    }
    those["more"] = [one for one in those["more"] if one.allowed]
    if those["more"]:
        yield f"After that: {_named(those['more'], reader)}."
    if those["unsure"]:
        worlds = counted(found.subject.replicates, "world")
        yield f"Cannot be told from nothing in {worlds}: {_named(those['unsure'], reader)}."
    if those["nothing"]:
        most = max(one.gain.high for one in those["nothing"])
        names = ", ".join(one.name for one in those["nothing"])
        yield f"Surely worth less than {reader.money(max(1.0, most + 0.5))} {reader.period} each: {names}."
    if those["less"]:
        yield f"Surely brings less: {_named(those['less'], reader)}."
    lopsided = [one.name for one in found.worths if one.lopsided and one.verdict != "nothing"]
    if lopsided:
        yield (
            f"Mind: with {joined(lopsided)} a few worlds are far better or far worse than the others, so the range may "
            "err more often than it says; more worlds (--replicates) tell."
        )
    yield "Each was tried alone and a little of it: more of it, or two together, need not bring as much again."


def _business(found: Growth) -> str:
    """The business that was looked at."""
    return "Your business" if found.option == found.subject.base else f'The business with "{found.option}"'


def _named(those: Sequence[Worth], reader: Reader) -> str:
    """The first few with where their worth lies; the rest is counted."""
    shown = [f"{one.words} ({reach(one.gain, reader)})" for one in those[:SHOWN]]
    rest = len(those) - len(shown)
    return "; ".join(shown) + (f"; and {rest} more" if rest else "")


def _each(one: Worth, reader: Reader) -> str:
    """What that is for each unit, where there is more or less than one."""
    count, unit, per_unit = units(one, reader)
    if abs(count - 1.0) < 1e-9:
        return ""
    return f" (from {amount(per_unit.low)} to {amount(per_unit.high)} for each {unit})"


def units(one: Worth, reader: Reader) -> tuple[float, str, Interval]:
    """How many units more, what a unit is, and what each is worth, as this reader counts masses."""
    if not reader.us or not one.unit.startswith("kg"):
        return one.amount, one.unit, one.per_unit
    per = one.per_unit
    in_lb = replace(per, mean=per.mean * KG_PER_LB, low=per.low * KG_PER_LB, high=per.high * KG_PER_LB)
    return one.amount / KG_PER_LB, f"lb{one.unit.removeprefix('kg')}", in_lb


def amount(value: float) -> str:
    """An amount of money without its currency; with its cents where it is small."""
    return number(value, 2 if abs(value) < CENTS_BELOW else 0)


def _in_money(one: Worth, reader: Reader) -> str:
    """What of it is money and what is time."""
    money, hours = one.profit.mean, one.hours.mean
    what = more(reader.money(abs(money)), money >= 0.0)
    when = more(counted(abs(hours), "hour"), hours >= 0.0, "fewer")
    return f"On average it brings {what} in money and takes {when} of yours {reader.period}."


def _price(one: Worth, reader: Reader) -> str:
    """What it costs and when that has come back."""
    if one.price is None or one.cost is None:
        return "What it costs is not in the scenario."
    costs = f"It costs about {reader.money(one.cost)} (as in {quoted(one.price.option)})"
    if one.payback_months is None:
        return f"{costs}."
    return f"{costs}, which has come back after {months(one.payback_months)}."


def held_back(found: Growth) -> str:
    """Where free hours go unused."""
    reader = reader_of(found.subject)
    if not any(one.hours.mean >= LEAST_H for one in found.lost):
        return f"No free hour goes unused {reader.period}."
    hours, lost = number(found.free_hours.mean), [one for one in found.lost if one.hours.mean >= LEAST_H]
    return f"Of {hours} free hours {reader.period}, lost to: {'; '.join(map(_lost, lost))}."


def _lost(one: Lost) -> str:
    finely = 0 if one.hours.mean >= 1.0 else 1
    mean, low, high = (
        number(max(0.0, hours), finely) for hours in (one.hours.mean, one.hours.low, one.hours.high)
    )
    return f"{one.words} {mean} h" if too_few(one.hours.n) else f"{one.words} {mean} h ({low} to {high})"
