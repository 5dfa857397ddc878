"""Hardness and pewter against published tables."""

from __future__ import annotations

import pytest

from planner.trade.alloys import CLIP_ON, PEWTERS, lead_antimony_hb, lead_tin_hb, rule_of_thumb_hb


@pytest.mark.parametrize(
    ("tin_percent", "printed"),
    [
        (0, 3.9), (10, 10.1), (20, 12.16), (30, 14.5), (40, 15.8), (50, 15.0), (60, 14.6), (66, 16.7), (67, 15.4),
        (68, 14.6), (70, 15.8), (80, 15.2), (90, 13.3), (100, 4.1),
    ],
)  # fmt: skip
def test_hardness_of_lead_with_tin(tin_percent: float, printed: float) -> None:
    """Saposhnikov 1908, table "Hardness of Solders"."""
    assert lead_tin_hb(tin_percent / 100) == pytest.approx(printed)


@pytest.mark.parametrize(
    ("antimony_percent", "printed"),
    [
        (0, 4.0), (1, 7.0), (2, 8.0), (3, 9.1), (4, 10.0), (5, 11.0), (6, 11.8), (7, 12.5), (8, 13.3), (9, 14.0),
        (10, 14.6), (11, 14.8),
    ],
)  # fmt: skip
def test_hardness_of_cast_lead_with_antimony(antimony_percent: float, printed: float) -> None:
    """Metals Handbook (ASM) vol. 2, antimonial lead (from memory)."""
    assert lead_antimony_hb(antimony_percent / 100) == pytest.approx(printed)


def test_the_rule_of_thumb_is_near_the_table_where_both_hold() -> None:
    """Common practice against Metals Handbook (from memory), 2 to 8 % antimony: the rule lies 2 to 2.7 HB above."""
    for percent in range(2, 9):
        assert rule_of_thumb_hb(0.0, percent / 100) == pytest.approx(lead_antimony_hb(percent / 100), abs=2.7)


def test_pewters_lie_within_the_standard() -> None:
    """ASTM B560-00(2014), scope 1.2: Sn 90-98, Sb 1-8, Cu .25-3 %; types 1 and 2 nominal."""
    for pewter in PEWTERS.values():
        assert 0.90 <= pewter.tin_share <= 0.98
        assert 0.01 <= pewter.antimony_share <= 0.08
        assert 0.0025 <= pewter.copper_share <= 0.03
    assert (PEWTERS[1].tin_share, PEWTERS[1].antimony_share, PEWTERS[1].copper_share) == (0.92, 0.075, 0.005)
    assert (PEWTERS[2].tin_share, PEWTERS[2].antimony_share, PEWTERS[2].copper_share) == (0.91, 0.07, 0.02)


def test_clip_on_metal_lies_within_common_practice() -> None:
    """Common practice, no published source: Pb 95-96, Sb 3-4, Sn .25-.5, As .2-.3 %."""
    assert 0.95 <= CLIP_ON.lead_share <= 0.96
    assert 0.03 <= CLIP_ON.antimony_share <= 0.04
    assert 0.0025 <= CLIP_ON.tin_share <= 0.005
    assert 0.002 <= CLIP_ON.arsenic_share <= 0.003
