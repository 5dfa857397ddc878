"""A kit, weights and weather that is written down hour by hour, for the tests of a melt; every number is invented."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from planner.trade import loading
from planner.trade.cylinder import ENDLESS, Propane
from planner.trade.heat import HeatTable
from planner.trade.loading import Hours
from planner.trade.melting import melt
from planner.trade.pot import Contents, Kit, Melt, Portion
from tests.trade.stoves import DEEP

AIR_C, STILL, GALE = 15.0, 0.0, 40.0
KIT = Kit(
    table=HeatTable(DEEP),
    pots=1,
    pot_mass_kg=5.0,
    pot_volume_l=8.0,
    lead_at_most_kg=60.0,
    loose_kg_per_m3=3400.0,
    heel_kg=0.0,
    pour_c=370.0,
    hands=1.0,
    load_h=2 / 60,
    skim_h=4 / 60,
    flux_h=6 / 60,
    solid_h=8 / 60,
    round_kg=7.2,
    round_h=4 / 60,
    dross_share=0.01,
    dross_hourly_share=0.004,
    dross_at_most_share=0.03,
    zinc_hourly_share=0.0008,
    zinc_overheated_share=0.03,
    least_lead_kg=8.0,
    turned_down=True,
)
MIX = (0.6, 0.06, 0.15, 0.16, 0.03)
"""Lead, clips, zinc, steel, rubbish in a portion."""
LONG_H = 100.0
EMPTY = Contents()


def portion(mass_kg: float, key: int = 1, shares: tuple[float, ...] = MIX) -> Portion:
    return Portion(key, mass_kg, *shares)


def clean(mass_kg: float) -> Portion:
    """Lead and nothing else."""
    return portion(mass_kg, shares=(1.0, 0.0, 0.0, 0.0, 0.0))


def steady(kit: Kit, wind_m_s: float = STILL) -> Hours:
    return lambda *_: kit.table.hour(AIR_C, wind_m_s, 1.0)


def turning(kit: Kit, at_h: int, wind_m_s: float = GALE) -> Hours:
    """Still until an hour, then windy."""
    return lambda i, _: kit.table.hour(AIR_C, STILL if i < at_h else wind_m_s, 1.0)


def with_burner(power_w: float, **changes: object) -> Kit:
    kit = replace(KIT, table=HeatTable(replace(DEEP, burner_w=power_w)))
    return replace(kit, **changes)  # type: ignore[arg-type]


def melted(
    kit: Kit = KIT,
    pile: list[Portion] | None = None,
    contents: Contents = EMPTY,
    until_h: float = LONG_H,
    breaks_h: float = inf,
    overheats: bool = False,
    t_h: float = 0.0,
    hours: Hours | None = None,
    propane: Propane = ENDLESS,
) -> Melt:
    weights = [portion(40.0)] if pile is None else pile
    got = melt(
        kit, hours or steady(kit), weights, contents, AIR_C, t_h, until_h, breaks_h, overheats, propane
    )
    assert isinstance(got, Melt), got
    assert_every_kilogram_is_found(weights, contents, got)
    return got


def refused(
    kit: Kit = KIT,
    pile: list[Portion] | None = None,
    contents: Contents = EMPTY,
    until_h: float = LONG_H,
    hours: Hours | None = None,
    propane: Propane = ENDLESS,
) -> str:
    """Why nothing is lit; playing a melt and asking beforehand must say the same."""
    weights = [portion(40.0)] if pile is None else pile
    told = (hours or steady(kit), weights, contents, AIR_C, 0.0, until_h)
    got = melt(kit, *told, propane=propane)
    assert isinstance(got, str)
    assert loading.refused(kit, *told, propane=propane) == got
    return got


def assert_every_kilogram_is_found(pile: list[Portion], before: Contents, got: Melt) -> None:
    of = {p.key: p for p in pile}
    after = got.contents
    parts = (
        ("clip", got.clip_kg, before.clip_kg, after.clip_kg),
        ("steel", got.steel_kg, before.steel_kg, after.steel_kg),
        ("rubbish", got.rubbish_kg, before.rubbish_kg, after.rubbish_kg),
    )
    for name, out, was, left in parts:
        charged = sum(kg * getattr(of[key], f"{name}_share") for key, kg in got.used)
        assert was + charged == pytest.approx(out + left, abs=1e-9), name
    lead_and_zinc = sum(kg * (of[key].lead_share + of[key].zinc_share) for key, kg in got.used)
    assert before.lead_kg + before.zinc_kg + lead_and_zinc == pytest.approx(
        got.poured_kg + got.dross_kg + got.zinc_kg + after.lead_kg + after.zinc_kg, abs=1e-9
    )
    assert min(after[:6]) >= 0.0
    assert min(got.poured_kg, got.dross_kg, got.clip_kg, got.zinc_kg, got.fuel_kg, got.heating_h) >= 0.0


def loads_kg(got: Melt) -> list[float]:
    return [float(what.split()[2]) for _, what in got.steps if what.startswith("load ")]
