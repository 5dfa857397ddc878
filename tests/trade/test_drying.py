"""Drying of wet weights in the sun."""

from __future__ import annotations

import numpy as np
import pytest

from planner.trade.drying import evaporation_mm_per_h


def test_more_sun_and_warmer_air_dry_faster() -> None:
    by_sun = evaporation_mm_per_h(15.0, np.array([0.0, 100.0, 400.0]))
    assert by_sun[0] == 0.0
    assert by_sun[2] == pytest.approx(4.0 * by_sun[1])
    by_warmth = evaporation_mm_per_h(np.array([1.0, 10.0, 25.0]), 300.0)
    assert (np.diff(by_warmth) > 0.0).all()


def test_ice_does_not_dry() -> None:
    assert evaporation_mm_per_h(np.array([-5.0, 0.0, 0.5]), 300.0).astype(bool).tolist() == [
        False,
        False,
        True,
    ]
