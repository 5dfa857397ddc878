from __future__ import annotations

from itertools import pairwise

import pytest

from planner.trade.alloys import (
    CLIP_ON,
    PEWTERS,
    PURE_LEAD_HB,
    STICK_ON,
    Composition,
    blended,
    hardness_hb,
    lead_antimony_hb,
    lead_tin_hb,
    rule_of_thumb_hb,
    tin_to_blend_kg,
)


@pytest.mark.parametrize("alloy", [CLIP_ON, STICK_ON], ids=lambda alloy: alloy.name)
def test_the_shares_of_a_weight_add_up(alloy: Composition) -> None:
    total = alloy.lead_share + alloy.antimony_share + alloy.tin_share + alloy.arsenic_share
    assert total == pytest.approx(1.0)


def test_the_shares_of_each_pewter_add_up() -> None:
    for pewter in PEWTERS.values():
        assert pewter.tin_share + pewter.antimony_share + pewter.copper_share == pytest.approx(1.0)


def test_clip_on_metal_is_hard_and_stick_on_metal_is_soft() -> None:
    clip = hardness_hb(CLIP_ON.tin_share, CLIP_ON.antimony_share)
    stick = hardness_hb(STICK_ON.tin_share, STICK_ON.antimony_share)
    assert 10.0 < clip < 13.0
    assert stick == PURE_LEAD_HB < 5.5
    assert stick < clip


def test_the_more_stick_on_metal_goes_in_the_softer_the_blend() -> None:
    blends = [blended([(10.0 - soft, CLIP_ON), (soft, STICK_ON)]) for soft in (0.0, 2.0, 4.0, 6.0, 8.0, 9.9)]
    hardness = [hardness_hb(blend.tin_share, blend.antimony_share) for blend in blends]
    assert all(a > b for a, b in pairwise(hardness))


def test_hardness_has_no_step_where_the_rule_of_thumb_begins() -> None:
    assert hardness_hb(0.0, 0.02 - 1e-9) == pytest.approx(hardness_hb(0.0, 0.02), abs=1e-5)
    assert hardness_hb(0.005, 0.015) == pytest.approx(rule_of_thumb_hb(0.005, 0.015))


def test_a_blend_keeps_every_kilogram_of_tin() -> None:
    tinned = Composition("tinned", 0.94, 0.0, 0.06, 0.0, "invented")
    blend = blended([(30.0, CLIP_ON), (10.0, tinned)])
    assert blend.tin_share * 40.0 == pytest.approx(30.0 * CLIP_ON.tin_share + 10.0 * 0.06)
    assert blend.lead_share + blend.antimony_share + blend.tin_share + blend.arsenic_share == pytest.approx(
        1.0
    )
    with pytest.raises(ValueError, match="nothing to melt together"):
        blended([])


def test_pewter_for_two_percent_tin_closes_the_mass_balance() -> None:
    pewter = PEWTERS[1]
    added_kg = tin_to_blend_kg(25.0, CLIP_ON.tin_share, 0.02, pewter.tin_share)
    tin_kg = 25.0 * CLIP_ON.tin_share + added_kg * pewter.tin_share
    assert tin_kg / (25.0 + added_kg) == pytest.approx(0.02)
    assert 0.4 < added_kg < 0.5


def test_pure_tin_takes_less_than_pewter() -> None:
    assert tin_to_blend_kg(25.0, 0.0, 0.02) < tin_to_blend_kg(25.0, 0.0, 0.02, 0.92)
    assert tin_to_blend_kg(98.0, 0.0, 0.02) == pytest.approx(2.0)


def test_nothing_is_added_where_there_is_tin_enough_and_poor_pewter_is_refused() -> None:
    assert tin_to_blend_kg(25.0, 0.03, 0.02, 0.92) == 0.0
    with pytest.raises(ValueError, match=r"holds 0\.02 tin: that cannot bring the metal to 0\.05"):
        tin_to_blend_kg(25.0, 0.0, 0.05, 0.02)


def test_hardness_between_rows_is_on_the_line_and_beyond_the_table_is_refused() -> None:
    assert lead_antimony_hb(0.035) == pytest.approx((9.1 + 10.0) / 2)
    assert lead_tin_hb(0.05) == pytest.approx((3.9 + 10.1) / 2)
    with pytest.raises(ValueError, match=r"antimony_share is 0\.2; the table goes from 0 to 0\.11"):
        lead_antimony_hb(0.2)
    with pytest.raises(ValueError, match="tin_share is -"):
        lead_tin_hb(-0.01)
