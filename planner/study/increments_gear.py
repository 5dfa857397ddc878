"""A little more of what the pot needs: light, a roof, shelter, pot, burner, propane, moulds.

In: a business. Out: increments. Must not know: runs.
"""

from __future__ import annotations

from math import pi
from typing import Final

from planner.scenario import Input
from planner.scenario.business import Business
from planner.scenario.gear import Melting, Pot
from planner.study.increments import MORE, Found, Increment, LeftOut
from planner.workshop.premises import premises

LEAST_W: Final = 1000.0
"""A burner is not sold in smaller steps [W] (assumed)."""
STAND: Final = "melting.stand"


def melting(business: Business) -> Found:
    """Everything about the pot; nothing where nothing is melted."""
    m = business.melting
    if not m.on:
        yield LeftOut("light, roof, shelter, pot, burner, propane, moulds", "nothing is melted")
        return
    yield from _place(m)
    yield _pot(business)
    yield _burner(m)
    yield Increment(
        "cylinder",
        "propane",
        "propane cylinder",
        "one more propane cylinder beside the others",
        "cylinder",
        (Input("melting.cylinder.number", 1, "plus"),),
        lambda one: float(one.melting.cylinder.number),
    )
    yield Increment(
        "mould",
        "",
        "one mould",
        "one more mould",
        "mould",
        (Input("melting.moulds.count", 1, "plus"),),
        lambda one: float(one.melting.moulds.count),
    )


def _place(m: Melting) -> Found:
    if m.light:
        yield LeftOut("light", "there is light at the pot already")
    else:
        yield Increment(
            "light",
            "daylight",
            "light at the pot",
            "light at the pot",
            "light",
            (Input("melting.light", True),),
        )
    if m.place == "open air":
        yield Increment(
            "roof",
            "weather",
            "roof over the pot",
            "a roof over the pot",
            "roof",
            (Input("melting.place", "roof"),),
        )
    else:
        yield LeftOut("a roof", "the pot does not stand in the open")
    yield Increment(
        "shelter",
        "weather",
        "a tenth less wind",
        "a place a tenth less windy",
        "tenth",
        (
            Input("melting.wind_at_pot_share", 1.0 / MORE, "times"),
            Input("melting.most_wind", MORE, "times"),
        ),
    )


def _pot(business: Business) -> Increment:
    """A tenth wider, as high, of the same sheet; on a stand that bears it."""
    m = business.melting
    wider = m.pot.model_copy(update=_widened(m.pot))
    inputs = [
        Input("melting.pot.diameter", MORE, "times"),
        Input("melting.pot.mass", wider.mass_kg / m.pot.mass_kg, "times"),
    ]
    if m.pot.lead_at_most_kg is not None:
        inputs.append(Input("melting.pot.lead_at_most", MORE**2, "times"))
    then = business.model_copy(update={"melting": m.model_copy(update={"pot": wider})})
    heavier_kg = premises(then).full_pot_kg - m.stand_kg
    if heavier_kg > 0.0:
        inputs.append(Input(STAND, f"{heavier_kg + 0.5:.0f} kg", "plus"))
    return Increment(
        "pot",
        "",
        "wider pot",
        "a pot a tenth wider, as high, on a stand that bears it",
        "litre",
        tuple(inputs),
        lambda one: _litres(one.melting.pot),
        ("melting.pot.height", "melting.pot.lead_at_most", STAND),
    )


def _widened(pot: Pot) -> dict[str, float | None]:
    """Its new sizes; the mass grows as bottom and side do."""
    wide_cm = pot.diameter_cm * MORE
    sheet = (wide_cm**2 / 4 + wide_cm * pot.height_cm) / (
        pot.diameter_cm**2 / 4 + pot.diameter_cm * pot.height_cm
    )
    lead_kg = pot.lead_at_most_kg
    return {
        "diameter_cm": wide_cm,
        "mass_kg": pot.mass_kg * sheet,
        "lead_at_most_kg": None if lead_kg is None else lead_kg * MORE**2,
    }


def _litres(pot: Pot) -> float:
    litres: float = pi / 4 * pot.diameter_cm**2 * pot.height_cm / 1000.0
    return litres


def _burner(m: Melting) -> Increment:
    kilowatts = round(max(LEAST_W, (MORE - 1.0) * m.burner.power_w) / 1000.0)
    return Increment(
        "burner",
        "burner",
        f"{kilowatts} kW of burner",
        f"a burner {kilowatts} kW stronger",
        "kW",
        (Input("melting.burner.power", f"{kilowatts} kW", "plus"),),
        lambda one: float(one.melting.burner.power_w) / 1000.0,
        (STAND,),
    )
