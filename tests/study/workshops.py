"""Workshops that fail on purpose. Importable by the processes that are started."""

from __future__ import annotations

import os
from math import nan
from typing import Any

from planner.workshop.play import play
from planner.workshop.premises import StartUp
from planner.workshop.result import Run


def gift_fails(business: Any, world: Any, pricing: Any, start_up: StartUp, *more: Any) -> Run:
    """Raises for the option that is given something."""
    if start_up.resale:
        raise RuntimeError("the present\nwas a trap")
    return play(business, world, pricing, start_up, *more)


def gift_is_nan(business: Any, world: Any, pricing: Any, start_up: StartUp, *more: Any) -> Run:
    run = play(business, world, pricing, start_up, *more)
    if start_up.resale:
        run.measures["profit_after_hours"] = nan
    return run


def gift_kills(business: Any, world: Any, pricing: Any, start_up: StartUp, *more: Any) -> Run:
    """Ends the process for the option that is given something."""
    if start_up.resale:
        os._exit(9)
    return play(business, world, pricing, start_up, *more)
