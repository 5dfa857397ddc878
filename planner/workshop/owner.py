"""The owner: free hours, and what comes first in them.

In: a floor, enquiries, simpy's clock. Out: steps taken, and free time that could not be used with what held it back.
Must not know: how a task is done.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from functools import partial
from math import floor as whole
from math import inf
from typing import Any, Final

import simpy

from planner.scenario.business import Task
from planner.workshop import ask, fetch, melt, serve, sort, yard
from planner.workshop.enquiries import Enquiries
from planner.workshop.floor import Floor, Held, Step

LEAST_H: Final = 1.0 / 60.0
"""A minute left is no time."""
PATIENCE_H: Final = 1e-6

GROWTH: Final[tuple[Task, ...]] = ("melt", "sort", "fetch")
"""The chain from metal at hand back to its source: the first that is held tells what holds the business back."""


class Owner:
    """One person with a list of what comes first."""

    def __init__(self, env: simpy.Environment, floor: Floor, enquiries: Enquiries) -> None:
        self.env, self.floor, self.enquiries = env, floor, enquiries
        self.finds = ask.Finds(floor)
        self.idle: simpy.Process | None = None
        """The owner's process, while it waits for something to do."""
        self.idle_until_h = 0.0
        """When the wait ends, or the window in which it began [h]: who asks later wakes nobody."""
        floor.wake = self._woken
        self.tasks: list[tuple[Task, Callable[[float, float], Step | Held | None]]] = [
            (task, self._task(task)) for task in floor.business.owner.priority
        ]

    def _task(self, task: Task) -> Callable[[float, float], Step | Held | None]:
        f = self.floor
        if task == "serve":
            return partial(serve.next_step, f, self.enquiries)
        if task == "ask":
            return partial(ask.next_step, f, self.finds)
        return partial({"fetch": fetch, "melt": melt, "sort": sort, "yard": yard}[task].next_step, f)

    def process(self) -> Generator[simpy.Event, Any, None]:
        """Go through the free hours, one after another."""
        free = self.floor.open["owner"]
        for start, end, next_start in zip(free.starts, free.ends, [*free.starts[1:], inf], strict=False):
            if start > self.env.now:
                yield self.env.timeout(start - self.env.now)
            t = start
            while end - t > LEAST_H:
                step, limit, retry_h = self._choose(t, end)
                if step is not None:
                    yield self.env.timeout(max(0.0, step.end_h - self.env.now))
                    t = step.end_h
                    step.done()
                    continue
                midnight = 24.0 * (whole(t / 24.0 + 1e-9) + 1)
                again_h = min(max(retry_h, t + LEAST_H), end, midnight)
                self.idle, self.idle_until_h = self.env.active_process, again_h
                try:
                    at_h = next_start if again_h == end and next_start < inf else again_h
                    yield self.env.timeout(max(0.0, at_h - self.env.now))
                    self.idle = None
                except simpy.Interrupt:
                    pass
                now = min(max(self.env.now, t), end)
                self.floor.limit(t, now - t, limit)
                t = max(now, t + PATIENCE_H)

    def _choose(self, t_h: float, end_h: float) -> tuple[Step | None, str, float]:
        """The first task that can be done now; else what holds the business back and when to look again."""
        held: dict[Task, Held] = {}
        retry = inf
        for task, next_step in self.tasks:
            found = next_step(t_h, end_h)
            if found is None:
                continue
            if isinstance(found, Step):
                return found, "", inf
            held[task] = found
            if found.retry_h < retry:
                retry = found.retry_h
        return None, self._limit(held), retry

    @staticmethod
    def _limit(held: dict[Task, Held]) -> str:
        """What holds the business back: the pot's reason; where weights are lacking, the reason for that."""
        for task in GROWTH:
            if task in held and held[task].limit != "supply":
                return held[task].limit
        if any(task in held for task in GROWTH):
            return "supply"
        return held["serve"].limit if "serve" in held else "nothing to do"

    def _woken(self) -> None:
        if self.idle is not None and self.env.now < self.idle_until_h:
            self.idle.interrupt()
            self.idle = None
