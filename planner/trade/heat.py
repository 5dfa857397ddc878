"""How long heating, melting and cooling take in weather that changes every hour, in closed form.

In: a `Stove`, a `Charge` and its `Heat`, weather by the hour. Out: when a temperature is reached, or how warm and
molten the charge is when time is up. It must not know lots, moulds, calendars or money.

Net power is tabulated over pot temperature for each weather met (a row) and taken as a straight line between
nodes. Along a straight line the temperature is an exponential of time, so each step from here to a temperature, or
to the end of the hour, is one formula. Net power falls as the pot warms, so a pot creeps towards the temperature
where it is zero and never crosses it; at the melting point it stays until all latent heat is in, or out.
`tests/trade/test_heat.py` holds this against an integration in steps of 5 s without tables.

Time inside is t_h, hours since the start; the hour of the weather is its whole part.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isfinite
from typing import Final, Literal

from planner.trade.charge import Charge, Heat, enthalpy_j, heat_at, joined, mixed, without
from planner.trade.heat_table import LAST, NODES_C, Curve, HeatTable, HourRow
from planner.trade.stove import Stove, fire_w, loss_w, net_power_w, useful_power_w

__all__ = [
    "Charge",
    "Curve",
    "Heat",
    "HeatTable",
    "HourRow",
    "Mode",
    "Stove",
    "advance",
    "enthalpy_j",
    "fire_w",
    "heat_at",
    "heating_h",
    "joined",
    "loss_w",
    "mixed",
    "net_power_w",
    "never_melts",
    "spell",
    "stalls_at_c",
    "useful_power_w",
    "without",
]

Mode = Literal["burning", "off"]


def advance(
    rows: Callable[[int], HourRow],
    charge: Charge,
    heat: Heat,
    t_h: float,
    until_h: float,
    target_c: float,
    mode: Mode,
) -> tuple[float, Heat, bool]:
    """Heat or cool a charge until a temperature is reached or time is up.

    Parameters
    ----------
    rows : callable
        Gives the row of a whole hour since the start.
    charge : Charge
        Pot and contents.
    heat : Heat
        How warm they are at the beginning.
    t_h, until_h : float
        Begin and latest end [h since the start].
    target_c : float
        Burning: done at or above it, with everything molten if it is the melting point or above. Off: done at or
        below it, with everything solid if it is the melting point or below [degC].
    mode : {"burning", "off"}
        Whether the burner is on. A net loss cools the pot in either case.

    Returns
    -------
    float, Heat, bool
        When it ended [h since the start], how warm the charge is then, and whether the target was reached.
    """
    if not (isfinite(t_h) and isfinite(until_h)):
        raise ValueError(f"a melt needs a finite begin and latest end, not {t_h!r} to {until_h!r}")
    burning = mode == "burning"
    reached = _done(charge, heat.temperature_c, heat.latent_in_j, target_c, burning)
    while not reached and t_h < until_h:
        hour = int(t_h // 1.0)
        end_h = min(hour + 1.0, until_h)
        t_h, heat, reached = spell(rows(hour), charge, heat, t_h, end_h, target_c, burning)
    return t_h, heat, reached


def spell(
    row: HourRow, charge: Charge, heat: Heat, t_h: float, end_h: float, target_c: float, burning: bool = True
) -> tuple[float, Heat, bool]:
    """The same as `advance` in one weather, until ``end_h`` [h] at the latest."""
    if _done(charge, heat.temperature_c, heat.latent_in_j, target_c, burning):
        return t_h, heat, True
    if end_h <= t_h:
        return t_h, heat, False
    left_s = (end_h - t_h) * 3600.0
    if burning and target_c < inf and (need_s := _heating_s(row, charge, heat, target_c)) <= left_s:
        liquid = target_c >= charge.melting_c
        there = Heat(target_c, charge.latent_j if liquid else heat.latent_in_j, liquid or heat.pool)
        there_h = t_h + need_s / 3600.0
        return there_h if there_h < end_h else end_h, there, True
    spent_s, there, reached = _within(row, charge, heat, left_s, target_c, burning)
    return min(t_h + spent_s / 3600.0, end_h) if reached else end_h, there, reached


def heating_h(row: HourRow, charge: Charge, heat: Heat, target_c: float) -> float:
    """Hours of burning in weather that stays as it is until a temperature [degC] is reached; infinite if never.

    What `advance` comes to in such weather.
    """
    if _done(charge, heat.temperature_c, heat.latent_in_j, target_c, True):
        return 0.0
    return _heating_s(row, charge, heat, target_c) / 3600.0


def stalls_at_c(row: HourRow, pool: bool = False) -> float:
    """Pot temperature [degC] at which the burner only just makes up for the losses; infinite above the grid."""
    curve = row.pooled if pool else row.loose
    if curve.positive > LAST:
        return inf
    j = max(curve.positive - 1, 0)
    return NODES_C[j] - curve.power_w[j] / curve.slope_w_per_k(j)


def never_melts(row: HourRow, melting_c: float, pool: bool = False) -> bool:
    """Whether a cold pot stalls at or below the melting point [degC]; `pool`: with a heel, not loose weights."""
    return stalls_at_c(row, pool) <= melting_c


MAX_STEPS: Final = 8
"""Steps within an hour: loose and solid, melting loose, melting in a pool, molten; the rest is reserve."""


def _done(charge: Charge, temperature_c: float, latent_in_j: float, target_c: float, burning: bool) -> bool:
    if burning:
        return temperature_c >= target_c and (target_c < charge.melting_c or latent_in_j >= charge.latent_j)
    return temperature_c <= target_c and (target_c > charge.melting_c or latent_in_j <= 0.0)


def _heating_s(row: HourRow, charge: Charge, heat: Heat, target_c: float) -> float:
    """Seconds of burning in one weather until a target not reached yet [degC]; infinite if never.

    One formula a stage: solid, melting under loose weights, melting in a pool, liquid.
    """
    temperature_c, latent_in_j, pool = heat.temperature_c, heat.latent_in_j, heat.pool
    solid, latent_j, melting_c = charge.capacity_solid_j_per_k, charge.latent_j, charge.melting_c
    if target_c < melting_c:
        curve = row.pooled if pool else row.loose
        there = curve.spent(target_c, True)
        return (there - curve.spent(temperature_c, True)) * solid if there < inf else inf
    way = row.way(melting_c, target_c)
    pool_j, spent_s = row.pool_share * latent_j, 0.0
    pool = pool or (temperature_c >= melting_c and latent_in_j >= pool_j)
    if way.target_k_per_w == inf or (way.loose_k_per_w == inf and not pool):
        return inf
    if temperature_c > melting_c:
        begun_k_per_w = row.pooled.spent(temperature_c, True)
    else:
        if temperature_c < melting_c:
            curve, there = (row.pooled, way.pooled_k_per_w) if pool else (row.loose, way.loose_k_per_w)
            spent_s = (there - curve.spent(temperature_c, True)) * solid
        if not pool:
            spent_s += (pool_j - latent_in_j) / way.loose_w
            latent_in_j = pool_j
        spent_s += (latent_j - latent_in_j) / way.pooled_w
        begun_k_per_w = way.pooled_k_per_w
    spent_s += (way.target_k_per_w - begun_k_per_w) * charge.capacity_liquid_j_per_k
    return spent_s


def _within(
    row: HourRow, charge: Charge, heat: Heat, seconds_s: float, target_c: float, burning: bool
) -> tuple[float, Heat, bool]:
    """Spend up to some seconds in one weather; returns seconds spent, how warm it is then, and whether it is done."""
    spent_s, left_s = 0.0, seconds_s
    temperature_c, latent_in_j, pool = heat.temperature_c, heat.latent_in_j, heat.pool
    melting_c, latent_j = charge.melting_c, charge.latent_j
    for _ in range(MAX_STEPS):
        if burning and not pool and temperature_c >= melting_c:
            pool = latent_in_j >= row.pool_share * latent_j
        curve = row.off if not burning else row.pooled if pool else row.loose
        power_w = curve.at(temperature_c)
        if power_w == 0.0:
            break
        warming = power_w > 0.0
        if temperature_c == melting_c and (latent_in_j < latent_j if warming else latent_in_j > 0.0):
            goal_j = 0.0 if not warming else latent_j if pool or not burning else row.pool_share * latent_j
            step_s = (goal_j - latent_in_j) / power_w
            latent_in_j = goal_j if step_s <= left_s else latent_in_j + power_w * left_s
        else:
            solid = temperature_c < melting_c if warming else temperature_c <= melting_c
            capacity = charge.capacity_solid_j_per_k if solid else charge.capacity_liquid_j_per_k
            stop_c = _stop_c(temperature_c, melting_c, target_c, warming, burning)
            spent, temperature_c = curve.along(temperature_c, stop_c, left_s / capacity, warming)
            step_s = spent * capacity
        done = _done(charge, temperature_c, latent_in_j, target_c, burning)
        if step_s >= left_s:
            return seconds_s, Heat(temperature_c, latent_in_j, pool), done
        spent_s += step_s
        left_s = seconds_s - spent_s
        if done:
            return spent_s, Heat(temperature_c, latent_in_j, pool), True
    return seconds_s, Heat(temperature_c, latent_in_j, pool), False


def _stop_c(temperature_c: float, melting_c: float, target_c: float, warming: bool, burning: bool) -> float:
    """Next temperature [degC] at which something changes on the way up or down; infinite if nothing does."""
    if warming:
        stop_c = melting_c if temperature_c < melting_c else inf
        return target_c if burning and temperature_c < target_c < stop_c else stop_c
    stop_c = melting_c if temperature_c > melting_c else -inf
    return target_c if not burning and stop_c < target_c < temperature_c else stop_c
