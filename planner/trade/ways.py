"""Ways of lifting a bucket between floor and vehicle: what each takes off the hands, and the time and people it takes.

In: nothing. Out: a table. Must not know: the lifting equation, scenarios, wages.

Every number is assumed: no published source gives times for this work, and the lifting equation covers one person
lifting freely. A scenario may set each of them.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

Method = Literal["by hand", "two people", "plank", "hand truck", "hoist"]


class Way(NamedTuple):
    """One way of lifting.

    Parameters
    ----------
    carried_share : float
        Share of the load that rests on the owner's hands [-].
    lift_min : float
        Time for one lift between floor and vehicle, there and back [min].
    ready_min : float
        Time to set up and stow what helps, at each stop and once at home [min].
    people : int
        How many it takes.
    """

    carried_share: float
    lift_min: float
    ready_min: float
    people: int = 1


WAYS: Final[dict[Method, Way]] = {
    "by hand": Way(1.0, 2.0, 0.0),
    "two people": Way(0.5, 2.0, 0.0, people=2),
    "plank": Way(0.5, 3.0, 2.0),
    "hand truck": Way(0.4, 2.5, 2.0),
    "hoist": Way(0.1, 4.0, 4.0),
}
"""Assumed: a plank is walked up in small steps, a hoist cranked; half to twice these times are as likely."""
