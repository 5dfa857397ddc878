"""What is in the buckets of every source of this package: settings, and the columns that follow from them.

In: settings, uniforms, the hours at which buckets are full. Out: columns of a ``Shop``.
Must not know: where the buckets come from, or when.
"""

from __future__ import annotations

from typing import Final

from pydantic import Field

from planner.plugin.builtin.shop_settings import WORKSHOP_HOURS
from planner.plugin.contents import KINDS_OF_WEIGHT, FallingLead, Mix, lots, parts_of
from planner.scenario.clock import WeekdayWindows
from planner.scenario.section import Section
from planner.scenario.units import Share
from planner.world.parts import FloatArray, Horizon

YEAR_H: Final = 365.0 * 24.0
CLIP: Final = 0
"""Column of the uniforms of a mix that says how much of a clip-on weight is clip; the others make the mix."""
MIX_COLUMNS: Final = 1 + KINDS_OF_WEIGHT


class Filled(Section):
    """What a bucket holds, and when it is handed out."""

    mix: Mix = Field(Mix.model_validate({}), description="Mean mix of its buckets and how much lots vary.")
    wet_share: Share = Field(0.15, description="Share of buckets that are wet (assumed).")
    open: WeekdayWindows = Field(
        WORKSHOP_HOURS, description="Hours by weekday at which buckets are handed out (assumed)."
    )


def shares_of(
    mix: Mix, u: FloatArray, falling: FallingLead, ready_h: FloatArray, horizon: Horizon
) -> FloatArray:
    """Mass shares in the order of PARTS, shape (buckets, 6), from uniforms of shape (buckets, MIX_COLUMNS)."""
    return parts_of(
        lots(mix, u[:, CLIP + 1 :]),
        mix.clip_share.from_uniform(u[:, CLIP]),
        falling.fallen_share(ready_h, horizon),
        falling.falls_to_steel_share,
    )
