"""What else is said of a study, beside its answer: outlooks, how the choice went, what pairing saved, failures.

In: a ``Study``. Out: sentences. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report.phrases import AGAIN, counted, listed, quoted, reader_of
from planner.report.units import number
from planner.study import Study

STEADY = 0.8
"""Share of resampled sets of worlds from which on a choice is called steady (assumed)."""

LEAST_SAVED = 1.5
"""What pairing saved is told from this many times on."""


def outlook_words(study: Study) -> Iterator[str]:
    """What to choose if one does not trust the expected outlook; nothing where only one was played."""
    found, names, reader = study.outlook_map, study.names, reader_of(study.subject)
    rows = (found.best_expected, found.best_worst, found.least_regret)
    if len(study.outlooks) < 2 or None in rows:
        return
    best, worst, regret = (names[o] for o in rows if o is not None)
    lowest = reader.money(float(found.value[study.row(worst)].min()))
    largest = reader.money(float(found.regret[study.row(regret)].max()))
    under, sure = counted(len(study.outlooks), "outlook"), study.sureness
    if found.agree:
        again = float(sure.all_three[study.row(best)])
        yield (
            f"Of what is allowed under every outlook, {quoted(best)} has the highest mean as expected, the best worst "
            f"case ({lowest} {reader.period}), and you would regret it least: under none of the {under} does another "
            f"option bring more than {largest} more. {_steady(again, 'all three at once')}"
        )
    else:
        yield (
            f"Of what is allowed under every outlook, {quoted(best)} has the highest mean as expected. "
            f"{_steady(sure.of('best_expected', found))}"
        )
        yield (
            f"If you fear the worst, take {quoted(worst)}: under none of the {under} does it bring less than {lowest} "
            f"{reader.period}. {_steady(sure.of('best_worst', found))}"
        )
        yield (
            f"You would regret {quoted(regret)} least: under none does another option bring more than {largest} more. "
            f"{_steady(sure.of('least_regret', found))}"
        )
    if found.best_weighted is not None:
        yield (
            f"Counting each outlook by how likely you said it is, {quoted(names[found.best_weighted])} brings most. "
            f"{_steady(sure.of('best_weighted', found))}"
        )
    yield (
        f"These are means of {counted(study.subject.replicates, 'world')} under each outlook. To see how steady they "
        f"are, sets of as many worlds were drawn from these {sure.resamples:,} times, some worlds twice, others not at "
        "all."
    )


def _steady(share: float, what: str = "so") -> str:
    """How often other sets of worlds say the same, in words."""
    often = f"in {number(100.0 * share)} of 100 sets of worlds drawn anew"
    return f"Steady: {what} {often}." if share >= STEADY else f"Not steady: {what} only {often}."


def _chosen(study: Study) -> Iterator[str]:
    """How a choice went that dropped what lost."""
    choice, first = study.choice, study.subject.replicates
    if choice is None:
        return
    stayed = [one for one in choice.standings if one.beaten_by is None or one.worlds > first]
    left = len(choice.standings) - len(stayed)
    lost = f"{left} had surely lost" if left else "none had surely lost"
    yield f"The choice was between {counted(len(choice.standings), 'option')}. After {first} worlds of each {lost}."
    if choice.worlds > first:
        yield (
            f"{listed([one.option for one in stayed])} were played on, up to {counted(choice.worlds, 'world')}, each "
            f"until it had lost{' or no other was left' if choice.ended == 'one left' else ' or this ended'}."
        )
    if choice.ended == "one left":
        sure = f"{100 * study.subject.confidence:g} times in 100"
        worth = reader_of(study.subject).money(study.subject.worth_caring_about)
        yield (
            f"So the choice took {choice.runs:,} runs. An option that is left so is the best, or less than {worth} "
            f"{study.subject.period} behind it, {sure}."
        )
    if choice.lopsided:
        yield (
            "Mind: a few worlds are far better or far worse than the others, so it may err more often than that; the "
            "fresh worlds are what counts."
        )
    if not choice.budget.repeatable:
        yield (
            f"It was given {choice.budget.minutes:g} minutes. How many worlds fit into these is chance, so this study "
            "cannot be repeated to the last digit."
        )


def asides(study: Study) -> tuple[str, ...]:
    """What else must be said: options that never differ, failures, what pairing saved."""
    found, said = study.findings, list(_chosen(study))
    for group in found.identical:
        said.append(
            f"{listed(group)} never differ in any of the {study.subject.replicates:,} worlds that all options met."
        )
    saved = study.sample.pairing_saved_typically
    if saved >= LEAST_SAVED:
        said.append(
            "All options met the same worlds, so good and bad luck struck them alike. Worlds drawn apart for each "
            f"option would have to be about {number(saved)} times as many to be as sure (the middle option)."
        )
    count = len(study.failures)
    if count:
        first = study.failures[0]
        said += [
            f"{count} of {study.runs_played} runs failed; they are counted, not dropped.",
            f"The first is {quoted(first.option)} in world {first.replicate}: {first.summary}.",
            f"{AGAIN}{first.repeat}",
        ]
    return tuple(said)
