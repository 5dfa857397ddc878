"""Things that happen one after the other, drawn until the horizon is full.

In: a stream and the gaps that its uniforms stand for. Out: rows of uniforms, one an event, and the times of the events.
Must not know: what the events are.

How many rows are needed is found by looking, not by estimate: a stream only adds rows at its end, so a longer
horizon or a busier year never changes the events before.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from planner.world.draw import Draw
from planner.world.parts import FloatArray

MOST_EVENTS: Final = 20_000
"""Events of one kind in one horizon; beyond this an input is taken for a mistake (assumed)."""
_MARGIN: Final = 1.3
_SPARE: Final = 6


def arrivals(
    draw: Draw,
    name: str,
    columns: int,
    gap_h: Callable[[FloatArray], FloatArray],
    mean_gap_h: float,
    end_h: float,
    first_h: float | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Events up to ``end_h``.

    Parameters
    ----------
    draw : Draw
        Chance of one replicate.
    name : str
        Stream of uniforms, one row an event; the first column makes the gaps.
    columns : int
        Uniforms an event.
    gap_h : callable
        Gaps [h] for uniforms.
    mean_gap_h : float
        About how long a gap is [h]; only decides how many rows are asked for first.
    end_h : float
        No event after this [h].
    first_h : float, optional
        Time of the first event [h]; without it one gap after 0.

    Returns
    -------
    (FloatArray, FloatArray)
        Uniforms, shape (events, columns), and times [h], shape (events,), in order, none above ``end_h``.

    Raises
    ------
    ValueError
        More than `MOST_EVENTS` events.
    """
    wanted = int(end_h / max(mean_gap_h, 1e-9) * _MARGIN) + _SPARE
    rows = 0
    while rows <= MOST_EVENTS:
        rows = min(wanted, MOST_EVENTS + 1)
        u = draw.uniform(name, (rows, columns))
        gaps = gap_h(u[:, 0])
        if first_h is not None:
            gaps = gaps.copy()
            gaps[0] = first_h
        at_h = np.cumsum(gaps)
        if at_h[-1] > end_h:
            count = int(np.searchsorted(at_h, end_h, side="right"))
            return u[:count], at_h[:count]
        wanted *= 2
    raise ValueError(
        f"more than {MOST_EVENTS:,} events in {end_h / 24:.0f} days, one every {mean_gap_h * 60:.2g} minutes on "
        "average; make the gap between them longer"
    )
