"""How many of Python's instructions a run takes as it grows: ``python -m tests.workshop.instructions``.

A count does not hang on the machine, nor on what else it does. Prints one JSON object: for each of days, shops and
people, the instructions at several sizes. Must be run where no twins are used (`planner.compiled.AS_PYTHON`), since
what is compiled is not seen.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from types import FrameType
from typing import Any, Final

from planner.workshop.play import play
from tests.small import Asking, business, crowd, shop, tables, world

DAYS, SHOPS, PEOPLE = 40, 6, 12
TIMES: Final = (1, 4, 8)


def instructions(of: Callable[[], object]) -> int:
    """Instructions of our own modules while ``of`` is called."""
    count = 0

    def seen(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal count
        if "/planner/" not in frame.f_code.co_filename:
            return None
        frame.f_trace_opcodes, frame.f_trace_lines = True, False
        count += event == "opcode"
        return seen

    sys.settrace(seen)
    try:
        of()
    finally:
        sys.settrace(None)
    return count


def run(days: int = DAYS, shops: int = SHOPS, people: int = PEOPLE) -> Callable[[], object]:
    """A run of this size, whose heat table is complete."""
    of = business(calendar={"days": days})
    there = tuple(
        shop(f"shop {i}", every_days=8.0, buckets=days // 8, x_km=1.0 + i % 7, y_km=float(i % 5))
        for i in range(shops)
    )
    met = world(of, there, (crowd(days, people, needs=days // 10),))

    def once() -> object:
        return play(of, met, Asking(), tables=tables(), diary=False)

    once()
    return once


def main() -> None:
    """Count."""
    found = {
        name: [instructions(run(**{name: n * times})) for times in TIMES]
        for name, n in (("days", DAYS), ("shops", SHOPS), ("people", PEOPLE))
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
