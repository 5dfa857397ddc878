"""Clock arithmetic: free hours, opening hours, daylight, weather good enough to light up.

In: windows by weekday, a world's hours. Out: times. Must not know: what the time is used for, simpy.

Looking a time up costs nothing and wakes nobody: the calendar is arithmetic, not a process.
"""

from __future__ import annotations

from bisect import bisect_right
from calendar import monthrange
from collections.abc import Iterator
from datetime import date, timedelta
from functools import lru_cache
from math import floor, inf
from typing import Final

import numpy as np

from planner.world.parts import BoolArray, Horizon

Window = tuple[float, float]
Week = tuple[tuple[Window, ...], ...]
Others = tuple[tuple[date, tuple[Window, ...]], ...]

EPS_H: Final = 1e-9

KEPT: Final = 256
"""Calendars that are kept: they depend on no world, so that a study works each out once."""


def windows(
    horizon: Horizon, week: Week, off: frozenset[date] = frozenset(), others: Others = ()
) -> list[Window]:
    """Stretches of time [h] that a weekly table opens within the horizon, in order, joined where they touch.

    ``off`` are days on which no stretch begins; ``others`` are days with stretches of their own, off or not.
    """
    found: list[Window] = []
    for _, a, b in _by_day(horizon, week, off, others):
        if found and a <= found[-1][1] + EPS_H:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        elif b > a:
            found.append((a, b))
    return found


def _by_day(
    horizon: Horizon, week: Week, off: frozenset[date], others: Others
) -> Iterator[tuple[int, float, float]]:
    """Each window of the table by itself: the day on which it begins, its begin and end [h]."""
    own = dict(others)
    for i, (day, weekday) in enumerate(zip(horizon.dates, horizon.weekday.tolist(), strict=True)):
        usual: tuple[Window, ...] = () if day in off else week[weekday]
        for start, end in own.get(day, usual):
            yield i, i * 24.0 + start, min(i * 24.0 + end, float(horizon.hours))


def calendar_months(start: date, days: int) -> Iterator[tuple[int, int, int]]:
    """Of each month that is played its first day and the day after its last, counted from 0, and its length [d]."""
    begun = 0
    while begun < days:
        first = start + timedelta(days=begun)
        length = monthrange(first.year, first.month)[1]
        ends = min(begun + length - first.day + 1, days)
        yield begun, ends, length
        begun = ends


class WorkingDays:
    """The day that a time of work belongs to: that on which its window began, also past midnight."""

    def __init__(
        self, horizon: Horizon, week: Week, off: frozenset[date] = frozenset(), others: Others = ()
    ) -> None:
        each = list(_by_day(horizon, week, off, others))
        self._late = {day + 1: b for day, _, b in each if b > 24.0 * (day + 1)}
        """Until when the first hours of a day may belong to the day before [h]."""
        self._own = Openings([(a, b) for _, a, b in each])
        self._asked: tuple[float, int] = (-1.0, -1)
        """The last time that was asked for and its day: every task asks for the same moment."""

    def day(self, t_h: float) -> int:
        """Number of the day; outside all windows that of the calendar."""
        if t_h != self._asked[0]:
            self._asked = (t_h, self._day(t_h))
        return self._asked[1]

    def _day(self, t_h: float) -> int:
        day = floor(t_h / 24.0 + EPS_H)
        late_h = self._late.get(day)
        if late_h is None or t_h >= late_h - EPS_H:
            return day
        begun_h = self._own.begun(t_h)
        return day if begun_h >= 24.0 * day - EPS_H else day - 1


class Openings:
    """Times at which something is open, looked up."""

    def __init__(self, stretches: list[Window]) -> None:
        self.starts = [a for a, _ in stretches]
        self.ends = [b for _, b in stretches]

    def closes(self, t_h: float) -> float:
        """When it closes, if it is open at ``t_h``; otherwise -inf."""
        i = bisect_right(self.starts, t_h + EPS_H) - 1
        return self.ends[i] if i >= 0 and self.ends[i] > t_h + EPS_H else -inf

    def begun(self, t_h: float) -> float:
        """When it opened last, if it is open at ``t_h``; otherwise -inf."""
        i = bisect_right(self.starts, t_h + EPS_H) - 1
        return self.starts[i] if i >= 0 and self.ends[i] > t_h + EPS_H else -inf

    def opens(self, t_h: float) -> float:
        """When it is open next, at ``t_h`` or later; inf if never."""
        if self.closes(t_h) > t_h:
            return t_h
        i = bisect_right(self.starts, t_h + EPS_H)
        return self.starts[i] if i < len(self.starts) else inf


@lru_cache(maxsize=KEPT)
def openings(
    horizon: Horizon, week: Week, off: frozenset[date] = frozenset(), others: Others = ()
) -> Openings:
    """When a weekly table is open; the arguments are those of `windows`."""
    return Openings(windows(horizon, week, off, others))


@lru_cache(maxsize=KEPT)
def working_days(
    horizon: Horizon, week: Week, off: frozenset[date] = frozenset(), others: Others = ()
) -> WorkingDays:
    """The days that times of work belong to; the arguments are those of `windows`."""
    return WorkingDays(horizon, week, off, others)


class Spells:
    """Hours that are good or bad for work, looked up by clock hour."""

    def __init__(self, good: BoolArray) -> None:
        self._n = good.size
        self._good_first = bool(good[0])
        self._turns: list[int] = (np.flatnonzero(good[1:] != good[:-1]) + 1).tolist()
        """Hours with which good becomes bad or bad good."""

    def good_at(self, t_h: float) -> bool:
        """Is the hour of ``t_h`` good?"""
        i = floor(t_h + EPS_H)
        return 0 <= i < self._n and self._good(bisect_right(self._turns, i))

    def next_good_h(self, t_h: float) -> float:
        """Start of the next good hour after ``t_h``; inf if none."""
        return self._next(t_h, True)

    def next_bad_h(self, t_h: float) -> float:
        """Start of the next bad hour after ``t_h``; inf if none."""
        return self._next(t_h, False)

    def _good(self, turned: int) -> bool:
        """Is it good after so many turns?"""
        return self._good_first is (turned % 2 == 0)

    def _next(self, t_h: float, good: bool) -> float:
        i = floor(t_h + EPS_H) + 1
        if i >= self._n:
            return inf
        turned = bisect_right(self._turns, i)
        if self._good(turned) is good:
            return float(i)
        return float(self._turns[turned]) if turned < len(self._turns) else inf
