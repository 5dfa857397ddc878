from __future__ import annotations

import pytest

from planner.trade.alloys import PEWTERS, tin_to_blend_kg

CLIP_ON_TIN_SHARE = 0.004  # common practice, no published source: .25 to .5 %


def test_the_shares_of_each_pewter_add_up() -> None:
    for pewter in PEWTERS.values():
        assert pewter.tin_share + pewter.antimony_share + pewter.copper_share == pytest.approx(1.0)


def test_pewter_for_two_percent_tin_closes_the_mass_balance() -> None:
    pewter = PEWTERS[1]
    added_kg = tin_to_blend_kg(25.0, CLIP_ON_TIN_SHARE, 0.02, pewter.tin_share)
    tin_kg = 25.0 * CLIP_ON_TIN_SHARE + added_kg * pewter.tin_share
    assert tin_kg / (25.0 + added_kg) == pytest.approx(0.02)
    assert 0.4 < added_kg < 0.5


def test_pure_tin_takes_less_than_pewter() -> None:
    assert tin_to_blend_kg(25.0, 0.0, 0.02) < tin_to_blend_kg(25.0, 0.0, 0.02, 0.92)
    assert tin_to_blend_kg(98.0, 0.0, 0.02) == pytest.approx(2.0)


def test_nothing_is_added_where_there_is_tin_enough_and_poor_pewter_is_refused() -> None:
    assert tin_to_blend_kg(25.0, 0.03, 0.02, 0.92) == 0.0
    with pytest.raises(ValueError, match=r"holds 0\.02 tin: that cannot bring the metal to 0\.05"):
        tin_to_blend_kg(25.0, 0.0, 0.05, 0.02)
