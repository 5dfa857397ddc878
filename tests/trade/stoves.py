"""One pot on one burner for the tests of the heat balance; every number is invented."""

from __future__ import annotations

from dataclasses import replace

from planner.trade.stove import Stove

STOVE = Stove(
    pot_diameter_m=0.25,
    pot_height_m=0.12,
    burner_w=10_000.0,
    efficiency_share=0.45,
    gas_c=1100.0,
    reference_c=60.0,
    wind_half_m_s=2.0,
    wind_at_pot_share=0.4,
    contact_share=0.6,
    pool_share=0.2,
    gas_cover_share=0.9,
    lid_share=0.5,
    emissivity_top=0.5,
    emissivity_side=0.8,
)
DEEP = replace(STOVE, pot_height_m=0.2)
