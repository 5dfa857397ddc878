"""Which colour a limit has: the same in every chart of every report, whatever else held the business back.

In: a limit's name or words. Out: its colour. Must not know: charts, studies.

Those that usually hold a business back have the colours that are told apart best, by people who are colour-blind too;
the rest seldom comes up. Sources: Okabe and Ito 2008, "Color universal design"; Tol 2021, SRON/EPS/TN/09-002,
"Colour schemes", its muted, light and dark ones.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.figure import BLUE, GREEN, ORANGE, PALE, PINK, RED, SKY, YELLOW
from planner.study.holding import LIMITS

USED: Final = BLUE
"""Free hours that were used, a day on which it was melted."""
OTHER: Final = PALE
"""What has no name in a chart."""

USUAL: Final = {
    "buyers": SKY,
    "supply": "#882255",  # Tol, muted: wine
    "pickups": GREEN,
    "hours": PINK,
    "weather": ORANGE,
    "daylight": YELLOW,
    "lifting": RED,
    "wet": "#332288",  # Tol, muted: indigo
    "nothing to do": "#666633",  # Tol, dark
}
"""What usually holds a business back. Okabe and Ito where nothing else is said."""

LIMIT_COLOURS: Final = USUAL | {
    "burner": "#CC6677",  # Tol, muted: rose
    "propane": "#AA4499",  # Tol, muted: purple
    "weights enough": "#44AA99",  # Tol, muted: teal
    "payload": "#117733",  # Tol, muted: green
    "cash": "#555555",  # Tol, dark
    "price": "#DDCC77",  # Tol, muted: sand
    "shops shut": "#88CCEE",  # Tol, muted: cyan
    "place": "#663333",  # Tol, dark
    "stand": "#225555",  # Tol, dark
    "pot": "#999933",  # Tol, muted: olive
    "stock": "#FFAABB",  # Tol, light: pink
    "yard shut": "#BBCC33",  # Tol, light: pear
}
"""By the limit's name, in the order in which parts of a bar lie on each other."""

_NAMES: Final = {words: limit for limit, words in LIMITS}
_PLACES: Final = {limit: place for place, limit in enumerate(LIMIT_COLOURS)}


def colour_of(words: str) -> str:
    """The colour of a limit by what a reader calls it."""
    return LIMIT_COLOURS[_NAMES[words]]


def place_of(words: str) -> int:
    """Where a limit lies among others, so that it is found in the same place as well."""
    return _PLACES[_NAMES[words]]
