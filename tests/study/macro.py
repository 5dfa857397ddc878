"""Choosing, repeated on known means: ``python -m tests.study.macro`` prints the table that stands in DEVELOPERS.md.

In: cases, each a set of known means and a way to draw values. Out: how often the project's own procedure chose rightly,
and with how many values, beside two-stage choosing. One value stands for what the procedure is fed with: a batch mean.

Means are told in ``delta``, the difference that matters, here 1. The standard deviation of a value is the square root
of the first values (n0) times ``delta``, the usual setting of the literature (Kim and Nelson 2001): then the standard
error of a mean of first values is ``delta``, and several times as many values are needed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import betaincinv

from planner.study.intervals import FloatArray
from planner.study.kim_nelson import KimNelson, Screening, batch_means
from planner.world.draw import Draw
from tests.study.equal_allocation import paired, rinott, unpaired

FIRST, CONFIDENCE, DELTA = 10, 0.95, 1.0
BLOCK = 10
"""Values drawn at once, and added before choices that are done are put aside."""
REPEATS = 4000
"""Choices of each case where time does not matter."""
OPTIONS = (2, 5, 10, 14)
SLIPPAGE, EVEN = "slippage", "even"
EQUAL, RISING, FALLING = "equal", "rising", "falling"

MILD, SEVERE = 0.4, 1.0
"""Sigmas of skewed values, see :class:`Case`. Mild: the difference of two options has a skewness of 1.1 to 1.4 before
means are taken; in the example the differences to its best option have -1.35 to 1.1, measured over 50 worlds.
"""

Rule = Callable[[int, int, float, float], KimNelson]


@dataclass(frozen=True, slots=True)
class Case:
    """Options whose means are known.

    Parameters
    ----------
    options : int
    means : str
        ``slippage``: all others lie ``delta`` below the best. ``even``: each lies ``delta`` below the one before.
    correlation : float
        Of the normal numbers behind the options' values in one world.
    deviations : str
        Standard deviations ``equal``, or from half to one and a half times that, ``rising`` or ``falling`` with the
        option's position.
    best : int
        Position of the option with the highest mean, from 0. ``even`` means fall from it on, and from the last
        position go on with the first.
    sigma : float
        0: worlds are normal. Above: they are lognormal, with this standard deviation of the logarithm.
    batch : int
        Worlds that a value is the mean of.
    """

    options: int
    means: str
    correlation: float
    deviations: str
    best: int
    sigma: float = 0.0
    batch: int = 5

    @property
    def least(self) -> float:
        """Share of choices that must be right; 0 where worlds are more skewed than what the project chooses by."""
        return CONFIDENCE if self.sigma < SEVERE and self.batch > 1 else 0.0

    @property
    def true(self) -> FloatArray:
        """Mean of each option [delta]; shape (options,)."""
        rank = (np.arange(self.options) - self.best) % self.options
        return -DELTA * (np.minimum(rank, 1) if self.means == SLIPPAGE else rank)

    @property
    def deviation(self) -> FloatArray:
        """Standard deviation of a value of each option; shape (options,)."""
        factor = np.ones(self.options) if self.deviations == EQUAL else np.linspace(0.5, 1.5, self.options)
        return np.sqrt(FIRST) * DELTA * (factor[::-1] if self.deviations == FALLING else factor)

    def draw(self, rows: int, count: int, block: int) -> FloatArray:
        """Worlds of every option.

        Parameters
        ----------
        rows : int
            Choices made side by side.
        count : int
            Values of each.
        block : int
            Number of the block; a block has chance of its own.

        Returns
        -------
        array, shape (count, rows, options, batch)
        """
        chance = Draw(0, block, f"{self}/")
        z = np.sqrt(1.0 - self.correlation) * chance.normal("own", (count, rows, self.options, self.batch))
        if self.correlation:
            z += np.sqrt(self.correlation) * chance.normal("world", (count, rows, 1, self.batch))
        if self.sigma:
            variance = self.sigma**2
            z = (np.exp(self.sigma * z - variance / 2.0) - 1.0) / np.sqrt(np.expm1(variance))
        return self.true[:, None] + np.sqrt(self.batch) * self.deviation[:, None] * z


class Played(NamedTuple):
    """What came of a case."""

    repeats: int
    right: int
    values: float  # mean number an option
    rinott: float  # the same, each as many as it needs, worlds of its own
    unpaired: float  # equal for all, worlds of its own
    paired: float  # equal for all, the same worlds

    @property
    def share(self) -> float:
        """Share of choices that were right."""
        return self.right / self.repeats

    def interval(self, confidence: float = 0.95) -> tuple[float, float]:
        """Where the share lies: the binomial interval of Clopper and Pearson."""
        each, wrong = (1.0 - confidence) / 2.0, self.repeats - self.right
        low = float(betaincinv(self.right, wrong + 1, each)) if self.right else 0.0
        return low, float(betaincinv(self.right + 1, wrong, 1.0 - each)) if wrong else 1.0

    def holds(self, least: float, looked_at: int) -> bool:
        """May the choice be right as often as ``least``?

        All of ``looked_at`` cases that are right so often are told so in 999 of 1,000 checks.
        """
        return self.interval(1.0 - 2.0 * 0.001 / looked_at)[1] >= least


def play(case: Case, repeats: int, rule: Rule = KimNelson) -> Played:
    """Choose ``repeats`` times, side by side."""
    settings = rule(case.options, FIRST, CONFIDENCE, DELTA)
    worlds = np.moveaxis(case.draw(repeats, FIRST, 0), 0, -2).reshape(repeats, case.options, -1)
    first, right, values, block = batch_means(worlds, case.batch), 0, 0, 0
    race = Screening(settings, worlds, case.batch)
    while True:
        done = race.done
        ended = race.only(done)
        right += int((ended.alive.argmax(axis=-1) == case.best).sum())
        # the winner needs no more values than the last that it beat
        values += int(ended.left_at.sum() + ended.left_at.max(axis=-1, initial=0).sum())
        race = race.only(~done)
        if done.all():
            break
        block += 1
        for row in case.draw(len(race.alive), BLOCK, block).mean(axis=-1):
            race.add(row)
    return Played(
        repeats,
        right,
        values / repeats / case.options,
        float(rinott(settings, first).mean()),
        float(unpaired(settings, first).mean()),
        float(paired(settings, first).mean()),
    )


def cases(positions: Callable[[int], Iterable[int]] = range) -> Iterator[Case]:
    """Every case that is looked at.

    Parameters
    ----------
    positions : callable
        Of the best, for unequal standard deviations of normal values, by the number of options.
    """
    for options in OPTIONS:
        for means in (SLIPPAGE, EVEN):
            for correlation in (0.0, 0.8):
                yield Case(options, means, correlation, EQUAL, options - 1)
                for deviations in (RISING, FALLING):
                    for best in positions(options):
                        yield Case(options, means, correlation, deviations, best)
    for sigma, batch in ((MILD, 5), (MILD, 1), (SEVERE, 5), (SEVERE, 1)):
        for options in OPTIONS if (sigma, batch) == (MILD, 5) else (2, 10):
            for correlation in (0.0, 0.8):
                yield Case(options, SLIPPAGE, correlation, EQUAL, options - 1, sigma, batch)
                for best in (0, options - 1):
                    yield Case(options, SLIPPAGE, correlation, RISING, best, sigma, batch)


def few() -> Iterator[Case]:
    """Some of them, for which the suite has time; of many options the best in the position that needs most values."""
    for case in cases(lambda options: sorted({0, options // 2, options - 1})):
        many, last = case.options > 5, case.best == case.options - 1
        telling = case.deviations == EQUAL or (case.deviations == RISING and last)
        middle = case.deviations == FALLING and case.best == case.options // 2
        if case.sigma:
            wanted = case.least and telling and case.options < 14
        elif case.means == EVEN:
            wanted = not case.correlation and (telling or not many)
        else:
            wanted = not many or telling or (middle and case.options < 14)
        if wanted:
            yield case


COLUMNS = (
    *("options", "means", "deviations", "values"),
    *("right", "95 % of it", "values needed", "Rinott", "equal, unpaired", "equal, paired"),
)


def table(played: Mapping[Case, Played]) -> str:
    """What came of the cases, in Markdown.

    Cases that differ only by which option is how variable share a row: its worst share, and mean numbers of values.
    What is found without correlation stands before the stroke, with it behind.
    """
    rows: dict[tuple[str, ...], dict[float, list[Played]]] = {}
    for case, found in played.items():
        values = f"lognormal {case.sigma:g}, " + ("raw" if case.batch == 1 else f"means of {case.batch}")
        deviations = EQUAL if case.deviations == EQUAL else "unequal"
        key = (str(case.options), case.means, deviations, values if case.sigma else "normal")
        rows.setdefault(key, {}).setdefault(case.correlation, []).append(found)
    lines = [f"| {' | '.join(COLUMNS)} |", f"|--:{'|---' * (len(COLUMNS) - 1)}|"]
    for key, row in rows.items():
        cells = (" / ".join(both) for both in zip(*map(_cells, row.values()), strict=True))
        lines.append(f"| {' | '.join([*key, *cells])} |")
    return "\n".join(lines)


def _cells(found: list[Played]) -> list[str]:
    worst = min(found, key=lambda one: one.share)
    low, high = worst.interval()
    needed = np.array([(one.values, one.rinott, one.unpaired, one.paired) for one in found]).mean(axis=0)
    return [f"{worst.share:.3f}", f"{low:.3f} to {high:.3f}", *(f"{number:.0f}" for number in needed)]


if __name__ == "__main__":
    print(table({case: play(case, REPEATS) for case in cases()}))
