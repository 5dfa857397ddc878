"""Pewter against its standard."""

from __future__ import annotations

from planner.trade.alloys import PEWTERS


def test_pewters_lie_within_the_standard() -> None:
    """ASTM B560-00(2014), scope 1.2: Sn 90-98, Sb 1-8, Cu .25-3 %; types 1 and 2 nominal, type 3 from memory."""
    for pewter in PEWTERS.values():
        assert 0.90 <= pewter.tin_share <= 0.98
        assert 0.01 <= pewter.antimony_share <= 0.08
        assert 0.0025 <= pewter.copper_share <= 0.03
    assert (PEWTERS[1].tin_share, PEWTERS[1].antimony_share, PEWTERS[1].copper_share) == (0.92, 0.075, 0.005)
    assert (PEWTERS[2].tin_share, PEWTERS[2].antimony_share, PEWTERS[2].copper_share) == (0.91, 0.07, 0.02)
    assert 0.95 <= PEWTERS[3].tin_share <= 0.98
    assert 0.01 <= PEWTERS[3].antimony_share <= 0.03
    assert 0.01 <= PEWTERS[3].copper_share <= 0.02
