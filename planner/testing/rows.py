"""One row of what is verified: what is expected, what came out, how far apart the two may be.

In: a known answer and what the program gave, with its standard error where chance is in it. Out: ``Row``.
Must not know: how either was found.

Where chance is in a figure, it may lie so far off that all rows together raise a false alarm once in a thousand seeds
(Bonferroni over `MOST_BY_CHANCE` rows, Student's t). Where none is, the row says how far.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite, sqrt
from typing import Final

import numpy as np
from scipy.special import stdtrit

from planner.world.parts import FloatArray

FALSE_ALARM: Final = 0.001
"""Chance that any row at all fails although everything is right."""
MOST_BY_CHANCE: Final = 60
"""Rows with chance in them that the false alarm is shared out among; there are fewer."""
OK, FAILED = "ok", "FAILED"


@dataclass(frozen=True, slots=True)
class Row:
    """One known answer.

    Parameters
    ----------
    family : str
        What it belongs to, such as ``queues``.
    case : str
        What was looked at.
    unit : str
        Of expected and got; empty for plain numbers.
    expected, got : float
        The known answer, and what the program gave.
    standard_error : float or None
        Of ``got`` (of the difference where ``expected`` was measured too); None where no chance is in it.
    z : float or None
        The difference in standard errors.
    allowed : float
        How far apart the two may be, in the unit.
    source : str
        Where the answer is known from.
    verdict : str
        ``ok`` or ``FAILED``.
    """

    family: str
    case: str
    unit: str
    expected: float
    got: float
    standard_error: float | None
    z: float | None
    allowed: float
    source: str
    verdict: str

    def against(self, expected: float) -> Row:
        """The same figure against another answer; what is allowed stays."""
        z = None if self.standard_error is None else _z(self.got - expected, self.standard_error)
        verdict = _verdict(self.got - expected, self.allowed)
        return replace(self, expected=expected, z=z, verdict=verdict)

    @property
    def ok(self) -> bool:
        """Do the two agree?"""
        return self.verdict == OK


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean of independent runs, its standard error, and the degrees of freedom that are left."""

    value: float
    standard_error: float
    free: int


def mean_of(values: Sequence[float] | FloatArray, controls: Sequence[FloatArray] = ()) -> Mean:
    """Mean of independent runs.

    Parameters
    ----------
    values : array, shape (runs,)
        One figure a run.
    controls : sequence of array, shape (runs,) each
        What was drawn in each run, less its known mean. What of the spread these explain is taken off (least
        squares), which leaves the mean where it is and makes it surer.

    Notes
    -----
    Control variates: S. S. Lavenberg and P. D. Welch, Management Science 27 (1981) 322 (from memory).
    """
    y = np.asarray(values, dtype=float)
    x = np.column_stack([np.ones(y.size), *controls])
    free = y.size - x.shape[1]
    inverse = np.linalg.inv(x.T @ x)
    fitted = inverse @ (x.T @ y)
    residual = y - x @ fitted
    return Mean(float(fitted[0]), sqrt(float(residual @ residual) / free * float(inverse[0, 0])), free)


def by_chance(family: str, case: str, unit: str, expected: float, got: Mean, source: str) -> Row:
    """A row whose figure comes from drawn runs."""
    allowed = -float(stdtrit(got.free, FALSE_ALARM / MOST_BY_CHANCE / 2.0)) * got.standard_error
    off = got.value - expected
    return Row(
        family,
        case,
        unit,
        expected,
        got.value,
        got.standard_error,
        _z(off, got.standard_error),
        allowed,
        source,
        _verdict(off, allowed),
    )


def for_sure(
    family: str, case: str, unit: str, expected: float, got: float, allowed: float, source: str
) -> Row:
    """A row without chance: the two agree within ``allowed``, which is in the unit."""
    verdict = _verdict(got - expected, allowed)
    return Row(family, case, unit, expected, got, None, None, allowed, source, verdict)


def _z(off: float, standard_error: float) -> float:
    return off / standard_error if standard_error > 0.0 else (0.0 if off == 0.0 else float("inf"))


def _verdict(off: float, allowed: float) -> str:
    return OK if isfinite(off) and abs(off) <= allowed else FAILED
