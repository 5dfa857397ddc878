"""The ladder in plain sentences.

In: a ``Ladder``. Out: sentences, the most important first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report.phrases import counted, listed, months, more, quoted, reach, reader_of
from planner.report.units import Reader, number
from planner.study.ladder import Chain, Ladder, Rung, SetAside


def step_name(options: Chain) -> str:
    """A step as a table names it."""
    return " + ".join(options)


def answer(found: Ladder) -> tuple[str, ...]:
    """What to do in which order, for how much, and what it brings altogether."""
    reader = reader_of(found.subject)
    whose = "" if found.sum_given else " (the cash at the start less the reserve)"
    within = f"Within {reader.money(found.sum)}{whose}"
    if found.stop.reason == "refused":
        words = f"No ladder: what you do {found.subject.base} is refused: {found.stop.words}. Put that right first; "
        return (f"{words}it is no measure for the rest.",)
    if not found.rungs:
        return (f"{within} there is no first step: go on {found.subject.base}.", last(found))
    end, several = found.rungs[-1], len(found.rungs) > 1
    order = ", then ".join(_named(rung.options) for rung in found.rungs)
    steps = f"{counted(len(found.rungs), 'step')}{' in this order' if several else ''}: {order}"
    cost = reader.money(end.spent) if end.spent else "nothing"
    total = f"{'Together they cost' if several else 'It costs'} {cost} and"
    brings = f"{'bring' if several else 'brings'} {reader.money(end.altogether.mean)} {reader.period} more"
    sure = f"({reach(end.altogether, reader)}) after your hours are priced."
    return (f"{within}, {steps}. {total} {brings} {sure}",)


def step_words(found: Ladder, row: int) -> tuple[str, ...]:
    """One step: what it is and brings, what else is to be known, and when to stop there."""
    rung, reader = found.rungs[row], reader_of(found.subject)
    return (
        f"{row + 1}. {_what(rung, found, reader)}",
        *_besides(rung, reader),
        stop_here(found, row + 1),
    )


def stop_here(found: Ladder, steps: int) -> str:
    """When to go no further after so many steps, and when another comes next; or why there is none.

    A step that cannot be paid, or that an hour is worth too much or too little for, is no reason to stop where another
    may pay: so that is told as what changes it.
    """
    if steps == len(found.rungs):
        return last(found)
    rung, reader = found.rungs[steps], reader_of(found.subject)
    start = f"Stay {found.subject.base} if" if steps == 0 else "Stop here if"
    said = []
    if rung.cost > 0.0 and rung.cheaper is None:
        said.append(f"you have less than {reader.money(rung.cost)} to go on with")
    said.append(f"about {reader.money(rung.gain.mean)} {reader.period} more do not matter to you")
    return " ".join((f"{start} {', or if '.join(said)}.", *_changes(rung, reader)))


def _changes(rung: Rung, reader: Reader) -> Iterator[str]:
    """When another step, or none, comes in the place of this one."""
    if rung.cheaper is not None:
        one = rung.cheaper
        cost = f"for {reader.money(one.cost)}" if one.cost else "at no cost"
        at_least = f"{reader.money(one.cost)} or more, but " if one.cost else ""
        yield (
            f"With {at_least}less than {reader.money(rung.cost)} to go on with, take {_named(one.options)} instead, "
            f"{cost}: {reader.money(one.gain.mean)} {reader.period} more ({reach(one.gain, reader)})."
        )
    ends = [
        f"{side} than {reader.money(price, 2)}"
        for side, price in (("less", rung.hour_price_low), ("more", rung.hour_price_high))
        if price is not None
    ]
    if ends:
        yield f"It changes if an hour is worth {' or '.join(ends)} to you: {_named(rung.options)} does not pay then."


def last(found: Ladder) -> str:
    """Why there is no further step, or no first one."""
    reader, stop = reader_of(found.subject), found.stop
    start, best = (
        ("Stop here", "the next best") if found.rungs else (f"Stay {found.subject.base}", "the best")
    )
    left = reader.money(found.rungs[-1].left if found.rungs else found.sum)
    worth = reader.money(found.subject.worth_caring_about)
    if stop.reason == "money":
        return f"{start}: all else that may bring something costs more than the {left} that are left."
    if stop.reason == "nothing left":
        return f"{start}: there is nothing else to try."
    if stop.reason == "failed runs":
        return f"{start}: some runs of what is done so far failed, and a mean without them may mislead."
    rung = stop.looked_at
    if rung is None:
        return f"{start}."
    what = f"{_named(rung.options)}{f' for {reader.money(rung.cost)}' if rung.cost else ''}"
    brings = (
        f"{more(reader.money(abs(rung.gain.mean)), rung.gain.mean >= 0.0)} {reader.period} "
        f"({reach(rung.gain, reader)})"
    )
    if stop.reason == "little":
        return f"{start}: {best}, {what}, brings {brings}; you care about {worth} and more."
    return (
        f"{start}: {best}, {what}, cannot be told from nothing: {brings} in {counted(rung.gain.n, 'world')}."
    )


def asides(found: Ladder) -> Iterator[str]:
    """What was not possible or too dear, what may be left out, how it was found."""
    reader = reader_of(found.subject)
    if found.inputs:
        yield f"Played with other values than the file's: {'; '.join(found.inputs)}."
    for spare in found.spares:
        saved = f" and {reader.money(spare.cost)} are saved" if spare.cost else ""
        yield (
            f"Who goes all the way leaves out {_named(spare.options)}: without it the others bring "
            f"{more(reader.money(abs(spare.gain.mean)), spare.gain.mean >= 0.0)} {reader.period} "
            f"({reach(spare.gain, reader)}){saved}."
        )
    if found.too_dear:
        dear = ", ".join(f"{quoted(one.option)} ({reader.money(one.cost)})" for one in found.too_dear)
        yield f"Not tried in the end, since it costs more than is left: {dear}."
    idle = [one.option for one in found.set_aside if one.why == "changes nothing"]
    if idle:
        yield f"No difference in any of the first {found.first_worlds} worlds: {listed(idle)}."
    for one in found.set_aside:
        if one.why != "changes nothing":
            yield _set_aside(one)
    if any(rung.replaces for rung in found.rungs):
        yield (
            "Costs add up: a step that takes the place of earlier gear costs its full price, and what the earlier gear "
            "still brings at the end counts too."
        )
    if found.stop.reason != "refused":
        yield (
            f"How it was found: each step was picked in up to {counted(found.most_worlds, 'world')} and then played in "
            f"{found.subject.replicates} others beside the steps before it; figures are from these, and all ranges "
            f"hold together {100 * found.subject.confidence:g} times in 100. What comes after a cheaper step, or at "
            "another price of your hour, is found with --sum and --set. Two options that pay only together are "
            "found, three are not; and a dear step may leave too little for two cheap ones that bring more."
        )


def _what(rung: Rung, found: Ladder, reader: Reader) -> str:
    """What it is, costs and brings."""
    cost = f", for {reader.money(rung.cost)} ({number(rung.left)} left)" if rung.cost else ", at no cost"
    hours = (
        "as many of your hours"
        if round(rung.hours) == 0
        else f"{more(number(abs(rung.hours)), rung.hours > 0.0, 'fewer')} of your hours"
    )
    money = more(reader.money(abs(rung.money)), rung.money >= 0.0)
    paid = ""
    if rung.cost:
        paid = (
            "; its cost does not come back"
            if rung.payback_months is None
            else f"; its cost is back after {months(rung.payback_months)}, your hours priced"
        )
    return (
        f"{_named(rung.options)}{cost}: {reader.money(rung.gain.mean)} {reader.period} more "
        f"({reach(rung.gain, reader)}) after your hours are priced; {hours}, {money} in money{paid}."
    )


def _besides(rung: Rung, reader: Reader) -> Iterator[str]:
    if rung.replaces:
        yield f"It sets anew what {listed(rung.replaces)} set."
    if len(rung.options) > 1:
        yield "Neither was worth it alone."
    if rung.as_good:
        others = ", ".join(_named(one) for one in rung.as_good)
        yield f"When it was picked, it could not be told from {others}."


def _set_aside(one: SetAside) -> str:
    after = f" after {listed(one.after)}" if one.after else ""
    if one.why == "impossible":
        return f"{quoted(one.option)} is not possible{after}: {one.words}."
    return f"{quoted(one.option)} is {'refused' if one.why == 'refused' else 'left out'}{after}: {one.words}."


def _named(options: Chain) -> str:
    return " with ".join(quoted(name) for name in options)
