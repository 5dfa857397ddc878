"""Charges and heats as plain numbers, to be compared."""

from __future__ import annotations

from planner.trade.charge import Charge, Heat


def numbers(one: Charge | Heat) -> tuple[float, ...]:
    """Everything that is known of it."""
    if isinstance(one, Heat):
        return one.temperature_c, one.latent_in_j, one.pool
    return one.capacity_solid_j_per_k, one.capacity_liquid_j_per_k, one.latent_j, one.melting_c
