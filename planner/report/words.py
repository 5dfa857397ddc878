"""Findings in plain sentences.

In: a ``Study``. Out: sentences, the most important first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report.phrases import (
    TOLD_FROM,
    counted,
    listed,
    months,
    more,
    quoted,
    reach,
    reader_of,
    span,
    turned,
)
from planner.report.spread_words import spread_words
from planner.report.units import Reader, number
from planner.report.unknown_words import unknown_words
from planner.study import Findings, Interval, Study
from planner.study.findings import LEAST_REPLICATES
from planner.study.holding import HeldBack, held_back
from planner.study.hour_price import HourPrices, hour_prices
from planner.study.start_up import StartUpCharge, start_up_charge
from planner.study.study import Subject

LOST = (
    ("lost_price_kg", "for the price"),
    ("lost_no_show_kg", "who did not come"),
    ("lost_time_kg", "for lack of your time"),
    ("lost_stock_kg", "for lack of stock"),
)
"""Measures of what was asked for and not sold, and why."""


def advice(study: Study) -> tuple[str, ...]:
    """What to do, or why the runs do not say, and what holds the business back: a few sentences."""
    first, *others = (*answer(study), *_held_back(study, study.findings, reader_of(study.subject)))
    if first.endswith(":") and others:
        return (f"{first} {others[0]}", *others[1:])
    return (first, *others)


def answer(study: Study) -> tuple[str, ...]:
    """What to do, or why the runs do not say: the answer, then what it hangs on.

    An answer that is long for a headline ends in a colon there, and the sentence goes on in the next part.
    """
    found, reader = study.findings, reader_of(study.subject)
    said = {
        "best": _best,
        "cannot tell": _cannot_tell,
        "too few runs": _too_few,
        "failed runs": _failed,
        "nothing allowed": _nothing,
    }[found.verdict](study, found, reader)
    return (*_refused_today(study, found), *said, *unknown_words(study))


def _refused_today(study: Study, found: Findings) -> Iterator[str]:
    """What is done today breaks a hard limit: that comes before any advice."""
    broken = study.refusals[found.base, found.outlook]
    if broken and found.verdict != "nothing allowed":
        yield (
            f"What you do {found.base} is refused: {broken[0].reason}. Put that right first; it is no measure for the "
            "rest."
        )


def _best(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    best = found.best or found.base
    level, period = study.seen(best).level(best, found.measure), reader.period
    if best == found.base:
        yield from _stay(study, found, reader)
    elif study.refusals[found.base, found.outlook]:
        yield (
            f"Of what is allowed, {quoted(best)} is best: {reader.money(level.mean)} {period} after your hours are "
            "priced."
        )
    elif found.gain is not None:
        charge = start_up_charge(study, best)
        yield from _first(study, best, found.gain, charge, reader)
        yield from _confirmed(study, reader)
        seen = study.seen(best)
        yield from spread_words(seen.spreads.at(seen.row(best), 0), study.subject)
        yield _lead(study, best, reader)
        if charge is not None:
            yield _start_up(charge, study.subject, reader)
    prices = hour_prices(study)
    if prices is not None and len(study.names) > 1:
        yield _hour_price(prices, best, reader)
    if level.mean < 0.0:
        yield _even_so(level, reader)


def _even_so(level: Interval, reader: Reader) -> str:
    return (
        f"Even so it loses {reader.money(-level.mean)} {reader.period} once your hours are priced: an hour in it earns "
        "less than you say an hour is worth."
    )


def _first(
    study: Study, best: str, gain: Interval, charge: StartUpCharge | None, reader: Reader
) -> Iterator[str]:
    """One sentence: what to do, for how much, what it brings from-to; then hours, money, payback, how sure."""
    base, seen = study.subject.base, study.seen(best)
    played = seen.level(best, study.findings.measure).n
    ahead = round(float(seen.ahead_share[seen.row(best), 0]) * played)
    yield (
        f"Do this first: {quoted(best)}{f', for {reader.money(charge.cost)}' if charge else ''}; it brings "
        f"{reader.money(gain.mean)} {reader.period} more ({reach(gain, reader)}) after your hours are priced:"
    )
    cash, hours = (seen.difference(best, name).mean for name in ("profit", "hours_h"))
    money = more(f"{reader.money(abs(cash))}", cash >= 0.0)
    worked = "as many" if round(hours) == 0 else more(number(abs(hours)), hours > 0.0, "fewer")
    paid = ""
    if charge is not None:
        after = charge.payback_money_months
        back = (
            "the outlay comes back in hours, not in money"
            if after is None
            else f"paid back in money after {months(after)}"
        )
        paid = f"; {back}"
    fresh = "fresh " if seen is study.fresh else ""
    sure = f"better in {ahead} of {counted(played, f'{fresh}world')}"
    counted_in = " (its cost counted in)" if charge is not None else ""
    yield f"{worked} of your hours and {money} in money{counted_in}, beside going on {base}{paid}; {sure}."


def _confirmed(study: Study, reader: Reader) -> Iterator[str]:
    """What fresh worlds said, beside the next in line."""
    found, fresh = study.findings, study.fresh
    if fresh is None or found.ahead is None or found.runner_up is None:
        return
    worlds, other = counted(fresh.worlds, "fresh world"), quoted(found.runner_up)
    worth = reader.money(study.subject.worth_caring_about)
    yield (
        f"These figures are from {worlds}, drawn after the choice was made. There the next best, {other}, brings "
        f"{more(reader.money(abs(found.ahead.mean)), found.ahead.mean < 0.0)} ({reach(turned(found.ahead), reader)})."
    )
    if found.close:
        yield (
            f"That is less than the {worth} {reader.period} you care about: {quoted(found.close[0])} is as good, if it "
            "is easier to start."
        )


def _start_up(charge: StartUpCharge, subject: Subject, reader: Reader) -> str:
    """How the start-up cost is in the figure, and when it is paid back."""
    less = (
        f" less {reader.money(charge.resale)} that the gear still brings at the end" if charge.resale else ""
    )
    years = number(subject.years, 0 if subject.years == round(subject.years) else 1)
    if subject.years == 1.0:
        how = (
            "all of it charged to the time that is played"
            if subject.days < 365
            else "all of it charged to one year"
        )
    else:
        how = f"charged to the {years} years that are played, {reader.money(charge.charged)} a year"
    text = f"It costs {reader.money(charge.cost)} to start{less}, {how}"
    if charge.payback_months is None:
        return f"{text}; it is never paid back at that rate."
    later = "" if charge.within else ", longer than is played"
    back = f"{text}; at that rate it is paid back after {months(charge.payback_months)}{later}"
    if charge.payback_money_months is None:
        return f"{back}, if your saved hours count as money; in money alone it never is."
    if months(charge.payback_money_months) != months(charge.payback_months):
        return f"{back}, if your hours count as money; in money alone after {months(charge.payback_money_months)}."
    return f"{back}."


def _lead(study: Study, best: str, reader: Reader) -> str:
    """Hours exposed to lead, beside the money."""
    seen = study.seen(best)
    lead, after = seen.difference(best, "exposure_h").mean, seen.level(best, "exposure_h").mean
    against = "as now" if round(lead) == 0 else f"{more(number(abs(lead)), lead > 0.0)} than now"
    return f"You are then exposed to lead for {counted(after, 'hour')} {reader.period}, {against}."


def _hour_price(prices: HourPrices, best: str, reader: Reader) -> str:
    """Between which prices of an hour the recommendation stands."""
    low, high = (reader.money(price, 2) for price in (prices.low, prices.high))
    when = "whatever your hour is worth"
    if prices.below and prices.above:
        when = f"while your hour is worth {low} to {high}"
    elif prices.below:
        when = f"while your hour is worth {low} or more"
    elif prices.above:
        when = f"while your hour is worth {high} or less"
    beyond = [
        f"{side} that {quoted(name)} has it"
        for side, name in (("below", prices.below), ("above", prices.above))
        if name is not None
    ]
    ahead = f"; {', '.join(beyond)}" if beyond else ""
    return f"{quoted(best)} has the highest mean {when} (you set {reader.money(prices.price, 2)}){ahead}."


def _held_back(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    """What growth runs against: today, and with the option that is recommended or ahead."""
    those = [found.base, found.best or found.leader]
    for name in dict.fromkeys(name for name in those if name is not None):
        held = held_back(study, name)
        if held is not None and not study.refusals[name, found.outlook]:
            where = (
                f"What holds the business back most {name}"
                if name == found.base
                else f"With {quoted(name)} it is"
            )
            yield f"{where}: {_held(held, reader)}."
    if not study.refusals[found.base, found.outlook]:
        yield from lost_words(study, found.base)


def lost_words(study: Study, option: str) -> Iterator[str]:
    """What buyers asked for in vain, by why; nothing where nobody did."""
    reader = reader_of(study.subject)
    lost = {why: study.level(option, measure).mean for measure, why in LOST}
    total = sum(lost.values())
    if not total >= 1.0:
        return
    sold = sum(study.level(option, name).mean for name in ("sold_kg", "bulk_kg", "post_kg"))
    parts = [
        f"{reader.mass(kg, 0)} {why}"
        for why, kg in sorted(lost.items(), key=lambda one: -one[1])
        if round(kg) > 0
    ]
    yield (
        f"Beside {reader.mass(sold, 0)} {reader.mass_unit} {reader.period} that you sell {option}, buyers asked for "
        f"{reader.mass(total, 0)} in vain: {', '.join(parts)}."
    )


def _held(held: HeldBack, reader: Reader) -> str:
    unused, free = number(held.hours), number(held.free_hours)
    return f"{held.words} ({unused} of {free} free hours {reader.period} go unused for that)"


def _stay(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    worth = reader.money(study.subject.worth_caring_about)
    if len(study.names) == 1:
        yield f"Go on {found.base}: the scenario has no other option."
    elif found.runner_up is None or found.ahead is None:
        if len(study.allowed()) > 1:
            yield f"Go on {found.base}: no other option differs from it in any world that was played."
        else:
            yield f"Go on {found.base}: there is no other option that is allowed."
    elif found.ahead.mean >= 0.0:
        yield f"Don't grow: nothing here beats going on {found.base}."
        yield (
            f"The next best, {quoted(found.runner_up)}, brings {reader.money(found.ahead.mean)} {reader.period} less, "
            f"after your hours are priced ({span(turned(found.ahead), reader)})."
        )
    else:
        yield (
            f"Don't grow: nothing here brings {worth} {reader.period} more than going on {found.base}, and less you do "
            "not care about."
        )
        yield (
            f"The best of them, {quoted(found.runner_up)}, brings {reader.money(-found.ahead.mean)} more, after your "
            "hours are priced."
        )


def _cannot_tell(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    yield from (_undecided if study.choice is not None else _not_told_apart)(study, found, reader)
    yield from _ahead_of_today(study, found, reader)
    leader = found.leader or found.base
    level = study.seen(leader).level(leader, found.measure)
    if level.mean < 0.0:
        yield _even_so(level, reader)


def _undecided(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    """A choice that ended with several, or whose only one is not borne out."""
    choice, fresh = study.choice, study.fresh
    if choice is None:
        return
    if found.unconfirmed and fresh is None:
        yield (
            f"Cannot tell which is best: {quoted(found.contenders[0])} came out ahead, but the budget was spent before "
            "fresh worlds could bear that out."
        )
        return
    if found.unconfirmed and fresh is not None:
        ahead, others = quoted(found.contenders[0]), " or ".join(map(quoted, found.contenders[1:]))
        yield (
            f"Cannot tell which is best: {ahead} came out ahead, but {counted(fresh.worlds, 'fresh world')} did not "
            f"bear that out beside {others}."
        )
        yield (
            f"So many worlds do not tell which is better. Take the one that is easiest to start, or ask again with "
            f"other chance: the same command with --seed {study.subject.seed + 1}."
        )
        return
    spent = (
        f"{choice.budget.minutes:g} minutes"
        if choice.budget.minutes is not None
        else f"{choice.most_runs:,} runs"
    )
    yield (
        f"Cannot tell which is best: the budget of {spent} is spent, and {listed(found.contenders)} are not yet told "
        f"apart within the {reader.money(study.subject.worth_caring_about)} {reader.period} that you care about."
    )
    if choice.runs_needed is not None:
        instead = "" if choice.budget.minutes is None else " instead of --minutes"
        yield (
            f"About {choice.runs_needed:,} runs more would leave one ({choice.worlds_needed:,} worlds of each): the "
            f"same command with --budget {study.runs_played + choice.runs_needed}{instead}."
        )


def _not_told_apart(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    """A comparison of a fixed size that several may have won."""
    unsure = [name for name in found.contenders[1:] if name not in found.close]
    worlds = counted(study.subject.replicates, "world")
    if unsure:
        yield (
            f"Too few runs to choose: {listed(found.contenders)} cannot be told apart in {worlds}, after your "
            "hours are priced."
        )
        if found.runs_needed is not None:
            yield (
                f"About {found.runs_needed:,} worlds would tell the first two apart: the same command with "
                f"--replicates {found.runs_needed}."
            )
    else:
        yield (
            f"Cannot tell which is best: {listed(found.contenders)} differ by less than the "
            f"{reader.money(study.subject.worth_caring_about)} {reader.period} that you care about. Take "
            "the one that is easiest to start."
        )


def _too_few(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    worlds = counted(study.subject.replicates, "world")
    if len(study.names) == 1:
        yield f"There is nothing to choose from: the scenario has no option beside going on {found.base}."
        return
    yield (
        f"Too few runs to choose: {worlds}, at least {LEAST_REPLICATES} are needed. Ahead so far: "
        f"{quoted(found.leader or '')}."
    )
    if study.subject.replicates >= TOLD_FROM:
        yield from _ahead_of_today(study, found, reader)


def _ahead_of_today(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    allowed = not study.refusals[found.base, found.outlook]
    if (
        allowed and found.gain is not None and found.gain.low == found.gain.low
    ):  # nan: one world has no interval
        yield (
            f"Against {found.base}, {quoted(found.leader or '')} brings "
            f"{more(reader.money(abs(found.gain.mean)), found.gain.mean >= 0.0)} {reader.period} "
            f"({span(found.gain, reader)})."
        )


def _failed(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    del reader
    worst = found.blocked_by or found.base
    yield (
        f"No recommendation: {found.failed[worst]} of {study.worlds_of(worst)} runs of {quoted(worst)} failed, and a "
        "mean without them may mislead."
    )


def _nothing(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    del reader
    broken = study.refusals[found.base, found.outlook][0]
    yield (
        f"No recommendation: every option breaks a hard limit. What you do {found.base} too: {broken.reason}. Put that "
        "right first."
    )
