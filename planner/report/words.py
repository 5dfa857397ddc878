"""Findings in plain sentences.

In: a ``Study``. Out: sentences, the most important first. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.report.units import Reader, number
from planner.study import Findings, Interval, Study

NAMES = 4
"""Options named in one sentence; the rest is counted."""


def quoted(name: str) -> str:
    """An option's name as a sentence carries it."""
    return f'"{name}"'


def listed(names: Sequence[str]) -> str:
    """Names in a row: "a", "b" and "c"; the first few of many."""
    shown = [quoted(name) for name in names[:NAMES]]
    if len(names) > NAMES:
        return f"{', '.join(shown)} and {len(names) - NAMES} more"
    return " and ".join(filter(None, [", ".join(shown[:-1]), shown[-1]])) if shown else "none"


def advice(study: Study) -> tuple[str, ...]:
    """What to do, or why the runs do not say: one to three sentences."""
    found, reader = study.findings, Reader(study.subject.currency, study.subject.units)
    said = {
        "best": _best,
        "cannot tell": _cannot_tell,
        "too few runs": _too_few,
        "failed runs": _failed,
        "nothing allowed": _nothing,
    }[found.verdict](study, found, reader)
    return (*_refused_today(study, found), *said)


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
    if best == found.base:
        yield from _stay(study, found, reader)
    elif study.refusals[found.base, found.outlook]:
        level = study.level(best, found.measure)
        left = reader.money(study.level(best, found.measure).mean)
        yield f"Of what is allowed, {quoted(best)} is best: {left} a year after your hours are priced."
    elif found.gain is not None:
        cost = next(one.start_up_cost for one in study.options if one.name == best)
        start = f" It costs {reader.money(cost)} to start, which is counted in." if cost else ""
        yield (
            f"Do this first: {quoted(best)}. It brings {reader.money(found.gain.mean)} a year more than {found.base}, "
            f"after your hours are priced ({_span(found.gain, reader)}).{start}"
        )
        cash, hours = (study.difference(best, measure).mean for measure in ("profit", "hours_h"))
        yield (
            f"In money that is {reader.money(abs(cash))} a year {'more' if cash >= 0.0 else 'less'}, and "
            f"{number(abs(hours))} hours a year {'more' if hours > 0.0 else 'fewer'} of yours, at the price you set."
        )
    level = study.level(best, found.measure)
    if level.mean < 0.0:
        yield (
            f"Even so it loses {reader.money(-level.mean)} a year once your hours are priced: an hour in it earns less "
            "than you say an hour is worth."
        )


def _stay(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    worth = reader.money(study.subject.worth_caring_about)
    if found.runner_up is None or found.ahead is None:
        yield f"Go on {found.base}: there is no other option that is allowed."
    elif found.ahead.mean >= 0.0:
        yield (
            f"Don't grow: nothing here beats going on {found.base}. The next best, {quoted(found.runner_up)}, brings "
            f"{reader.money(found.ahead.mean)} a year less, after your hours are priced ({_span(found.ahead, reader)})."
        )
    else:
        yield (
            f"Don't grow: nothing here brings {worth} a year more than going on {found.base}, and less you do not care "
            f"about. The best of them, {quoted(found.runner_up)}, brings {reader.money(-found.ahead.mean)} more, after "
            f"your hours are priced."
        )


def _cannot_tell(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    unsure = [name for name in found.contenders[1:] if name not in found.close]
    worlds = study.subject.replicates
    if unsure:
        yield (
            f"Too few runs to choose: {listed(found.contenders)} cannot be told apart in {worlds} worlds, after your "
            "hours are priced."
        )
        if found.runs_needed is not None:
            yield f"About {found.runs_needed:,} worlds would tell the first two apart."
    else:
        yield (
            f"Cannot tell which is best: {listed(found.contenders)} differ by less than the "
            f"{reader.money(study.subject.worth_caring_about)} a year that you care about. Take the one that is "
            "easiest to start."
        )
    yield from _ahead_of_today(study, found, reader)


def _too_few(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    yield (
        f"Too few runs to choose: {study.subject.replicates} worlds, at least 50 are needed. Ahead so far: "
        f"{quoted(found.leader or '')}."
    )
    yield from _ahead_of_today(study, found, reader)


def _ahead_of_today(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    allowed = not study.refusals[found.base, found.outlook]
    if (
        allowed and found.gain is not None and found.gain.low == found.gain.low
    ):  # nan: one world has no interval
        yield (
            f"Against {found.base}, {quoted(found.leader or '')} brings {reader.money(found.gain.mean)} a year "
            f"({_span(found.gain, reader)})."
        )


def _failed(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    del reader
    worst = found.blocked_by or found.base
    yield (
        f"No recommendation: {found.failed[worst]} of {study.subject.replicates} runs of {quoted(worst)} failed, and a "
        "mean without them may mislead."
    )


def _nothing(study: Study, found: Findings, reader: Reader) -> Iterator[str]:
    del study, found, reader
    yield "No recommendation: every option breaks a hard limit, as told below."


def _span(found: Interval, reader: Reader) -> str:
    if found.low == found.high:
        return f"the same in each of {found.n} worlds played both ways"
    return f"from {reader.money(found.low)} to {reader.money(found.high)}; the same {found.n} worlds played both ways"


def asides(study: Study) -> tuple[str, ...]:
    """What else must be said: options that never differ, failures, what pairing saved."""
    found, said = study.findings, []
    for group in found.identical:
        said.append(f"{listed(group)} never differ in any world.")
    saved = study.pairing_saved_typically
    if saved > 1.0:
        said.append(
            f"Playing all options in the same worlds told as much as {number(saved)} times as many worlds of their own "
            "would have (the middle option)."
        )
    count = len(study.failures)
    if count:
        first = study.failures[0]
        runs = len(study.options) * len(study.outlooks) * study.subject.replicates
        said += [
            f"{count} of {runs} runs failed; they are counted, not dropped.",
            f"The first is {quoted(first.option)} in world {first.replicate}: {first.summary}.",
            f"To play it again alone: {first.repeat}",
        ]
    return tuple(said)
