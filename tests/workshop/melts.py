"""A business with weights at home that only melts, for the tests of sessions at the pot."""

from __future__ import annotations

from typing import Any

import numpy as np

from planner.workshop.result import MeltRow, Run
from planner.world.parts import Weather
from tests.small import business, world
from tests.workshop.books import played

LOT = {
    "mass": "60 kg",
    "cost": "12 EUR",
    "clip_on_share": 0.6,
    "stick_on_share": 0.1,
    "zinc_share": 0.1,
    "steel_share": 0.2,
}
DAYS = 120
EVENINGS = {"mon-fri": "18:00-21:00"}
SATURDAYS = {"sat": "09:00-17:00"}


def home(lots: int = 4, **changes: Any) -> Any:
    """A business with lots at home: nobody fetches, nothing goes to the yard."""
    base = {
        "stock": {"lots": [LOT] * lots},
        "fetching": {"on": False},
        "yard": {"least": "99999 kg"},
        "melting": {"stop_above": "9999 kg"},
    }
    melting = base["melting"] | changes.pop("melting", {})
    return business(**(base | changes | {"melting": melting}))


def melted(lots: int = 4, in_world: dict[str, Any] | None = None, **changes: Any) -> Run:
    of = home(lots, **changes)
    return played(of, world(of, **({"shops": (), "crowds": ()} | (in_world or {}))))


def hourly(days: int = DAYS, **columns: np.ndarray) -> Weather:
    """15 degC, 2 m/s, dry, but for what is given."""
    n = days * 24
    same = {"temperature_c": np.full(n, 15.0), "wind_m_s": np.full(n, 2.0), "rain_mm": np.zeros(n)}
    return Weather.rounded(**(same | columns), sun_w_m2=np.zeros(n))


def where(hours: range | list[int], value: float, otherwise: float) -> np.ndarray:
    column = np.full(DAYS * 24, otherwise)
    column[list(hours)] = value
    return column


def lit(run: Run) -> list[float]:
    """Hour of day at which each melt was lit."""
    return [melt.t_h % 24.0 for melt in run.melts]


def an_hour(run: Run) -> float:
    """Ingots for each hour at the pot [kg/h]."""
    return run.measures["ingots_kg"] / run.measures["melt_hours_h"]


def first(run: Run) -> MeltRow:
    return run.melts[0]


def why_not(run: Run) -> str:
    """What the free hours were lost to most."""
    lost = {
        name: value
        for name, value in run.measures.items()
        if name.startswith("lost_") and name.endswith("_h")
    }
    return max(lost, key=lambda name: lost[name]).removeprefix("lost_").removesuffix("_h")
