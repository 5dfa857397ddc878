"""How often and how long one lifts: the frequency multiplier of the revised NIOSH lifting equation.

In: lifts a minute [1/min], length of the work [h], height of the hands where the lift begins [cm].
Out: the multiplier [-]. Must not know: the rest of the equation, scenarios, trips.

Source: NIOSH 94-110 (revised September 2021), as in planner.trade.lifting.
"""

from __future__ import annotations

from typing import Final

import numpy as np

LONGEST_H: Final = 8.0  # h; NIOSH 94-110 section 1.2: the equation does not cover longer work
WAIST_CM: Final = 75.0  # cm; NIOSH 94-110 tables 5 and 7: height that parts the columns
SELDOM_LIFTS_PER_MIN: Final = 0.2  # 1/min; NIOSH 94-110 table 5, footnote: rarer lifts count as this many
SHORT_COLUMN_BELOW_PER_MIN: Final = 0.1  # 1/min; NIOSH 94-110 p. 15: rarer lifts use the column up to 1 h

# NIOSH 94-110 table 5. Lifts a minute; then the multiplier by the longest duration [h] of a column, where the hands
# start below WAIST_CM and where they start at or above it. Beyond 15 lifts a minute it is 0.
PER_MIN: Final = (SELDOM_LIFTS_PER_MIN, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
BELOW_WAIST: Final[dict[float, tuple[float, ...]]] = {
    1.0: (1, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0, 0, 0),
    2.0: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0, 0, 0, 0, 0),
    8.0: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0, 0, 0, 0, 0, 0, 0),
}  # fmt: skip
FROM_WAIST_UP: Final[dict[float, tuple[float, ...]]] = {
    1.0: (1, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    2.0: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0, 0, 0),
    8.0: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0, 0, 0, 0, 0),
}  # fmt: skip


def frequency_multiplier(lifts_per_min: float, duration_h: float, origin_cm: float) -> float:
    """Frequency multiplier, linear between the rows of the table.

    Parameters
    ----------
    lifts_per_min : float
        Lifts a minute [1/min]; fewer than 0.2 count as 0.2.
    duration_h : float
        Length of the lifting work [h]; 0 comes out beyond 8 h. Below 0.1 lifts a minute the first column holds.
    origin_cm : float
        Height of the hands where the lift begins [cm].

    Returns
    -------
    float
        Multiplier [-].

    Notes
    -----
    NIOSH 94-110 table 5 with its footnotes, pp. 7 and 15.
    """
    if duration_h > LONGEST_H:
        return 0.0
    column_h = (
        1.0 if lifts_per_min < SHORT_COLUMN_BELOW_PER_MIN else min(h for h in BELOW_WAIST if duration_h <= h)
    )
    table = BELOW_WAIST if origin_cm < WAIST_CM else FROM_WAIST_UP
    return float(np.interp(lifts_per_min, PER_MIN, table[column_h], right=0.0))
