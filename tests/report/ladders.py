"""A ladder made by hand, whose words and tables are known."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from planner.study.intervals import Interval
from planner.study.ladder import Ladder, Rung, SetAside, Spare, Standing, Stop, TooDear
from tests.report.made import study, three


def rung(
    options: tuple[str, ...], cost: float, spent: float, gain: float, total: float, **other: Any
) -> Rung:
    """A step of a sum of 500, known within 20 to either side."""
    found = Rung(
        options, cost, 0.4 * cost, spent, 500.0 - spent, Interval(gain, gain - 20.0, gain + 20.0, 100),
        Interval(total, total - 25.0, total + 25.0, 100), gain + 80.0, 10.0, Standing(900.0, 700.0, 2.5, 60.0), None,
        12.5, 4.0, (), (), 5,
    )  # fmt: skip
    return replace(found, **other)


def ladder(**other: Any) -> Ladder:
    """A burner, then two that pay only together; a shed is not worth it."""
    shed = rung(("shed",), 300.0, 440.0, 10.0, 260.0)
    found = Ladder(
        replace(study(three()).subject, replicates=100),
        (),
        500.0,
        True,
        8.0,
        Standing(600.0, 400.0, 3.0, 90.0),
        (
            rung(("bigger burner",), 90.0, 90.0, 180.0, 180.0),
            rung(
                ("post", "more pickups"), 50.0, 140.0, 70.0, 250.0, hours=-10.0, money=-30.0, hour_price_low=3.0,
                hour_price_high=None, as_good=(("lid",),), replaces=("bigger burner",),
            ),
        ),
        Stop("little", shed),
        (
            SetAside("full buckets", "refused", "lifting: too heavy", ("bigger burner",)),
            SetAside("charm", "changes nothing", "", ()),
            SetAside("more soap", "impossible", "there is already soap", ("soap",)),
        ),
        (TooDear("roof", 900.0),),
        (Spare(("bigger burner",), 90.0, Interval(-5.0, -15.0, 5.0, 100)),),
        10,
        100,
        1234,
        (),
        (),
        (),
    )  # fmt: skip
    return replace(found, **other)
