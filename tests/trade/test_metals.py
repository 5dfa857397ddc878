from __future__ import annotations

from dataclasses import fields
from itertools import pairwise

import pytest

from planner.trade.metals import (
    IRON,
    LEAD,
    ZINC,
    ZINCED_SHARE,
    Metal,
    dross_kg,
    zinc_dissolved_kg,
    zinc_solubility_share,
)
from planner.trade.pot import warming_j


def is_zinced(dissolved_kg: float, lead_kg: float) -> bool:
    return dissolved_kg / (lead_kg + dissolved_kg) > ZINCED_SHARE


@pytest.mark.parametrize("metal", [LEAD, ZINC, IRON], ids=lambda metal: metal.name)
def test_every_value_of_a_metal_has_a_source(metal: Metal) -> None:
    numbers = {f.name for f in fields(metal) if isinstance(getattr(metal, f.name), float)}
    assert numbers == set(metal.sources)
    assert len(numbers) == 5
    assert all(len(source) > 10 for source in metal.sources.values())


def test_zinc_and_clips_take_more_heat_a_kilogram_than_the_lead_though_they_do_not_melt() -> None:
    lead, clips, zinc = (
        warming_j(parts, 10.0, 380.0)
        for parts in ((1.0, 0.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0, 0.0))
    )
    assert zinc > 2 * lead
    assert clips > zinc
    assert clips == pytest.approx(IRON.solid_j_per_kg_k * 370.0)


def test_dross_grows_with_the_hours_from_one_to_three_percent() -> None:
    shares = [dross_kg(1.0, h) for h in (0.0, 1.0, 4.0, 8.0)]
    assert shares == pytest.approx([0.010, 0.014, 0.026, 0.030])
    assert dross_kg(50.0, 24.0) == pytest.approx(1.5)
    assert dross_kg(1.0, 2.0, base_share=0.02, hourly_share=0.01, at_most_share=0.05) == pytest.approx(0.04)


def test_zinc_skimmed_soon_from_a_watched_pot_does_not_spoil_it() -> None:
    dissolved_kg = zinc_dissolved_kg(6.0, 1.5, False, 28.0)
    assert 0.0 < dissolved_kg < ZINCED_SHARE * 28.0
    assert not is_zinced(dissolved_kg, 28.0)


def test_an_overheated_cold_start_spoils_the_same_pot() -> None:
    assert is_zinced(zinc_dissolved_kg(6.0, 1.5, True, 28.0), 28.0)


def test_a_whole_night_in_hot_metal_spoils_it_too() -> None:
    assert is_zinced(zinc_dissolved_kg(6.0, 8.0, False, 28.0), 28.0)


def test_sorted_scrap_survives_what_unsorted_scrap_does_not() -> None:
    assert not is_zinced(zinc_dissolved_kg(0.3, 8.0, True, 28.0), 28.0)


def test_zinc_dissolves_hour_after_hour_but_never_more_than_there_is() -> None:
    hours = (0.0, 1.0, 10.0, 1e3, 1e6)
    dissolved = [zinc_dissolved_kg(0.01, h, False, 100.0) for h in hours]
    assert dissolved[0] == 0.0
    assert all(a < b for a, b in pairwise(dissolved[:-1]))
    assert dissolved[-1] == pytest.approx(0.01)
    two_halves = dissolved[1] + zinc_dissolved_kg(0.01 - dissolved[1], 9.0, False, 100.0)
    assert two_halves == pytest.approx(dissolved[2])


def test_lead_holds_no_more_zinc_than_it_can() -> None:
    most_kg = zinc_dissolved_kg(50.0, 1e6, True, 10.0, metal_c=400.0)
    assert most_kg / (10.0 + most_kg) == pytest.approx(zinc_solubility_share(400.0))
    assert zinc_dissolved_kg(50.0, 1e6, True, 10.0, metal_c=400.0, already_kg=most_kg) == 0.0
    assert zinc_dissolved_kg(50.0, 5.0, True, 0.0) == 0.0


def test_hotter_lead_holds_more_zinc_and_always_more_than_spoils_it() -> None:
    shares = [zinc_solubility_share(c) for c in (300.0, 318.2, 360.0, 417.8, 500.0)]
    assert shares == pytest.approx([0.005, 0.005, shares[2], 0.02, 0.02])
    assert 0.005 < shares[2] < 0.02
    assert min(shares) > ZINCED_SHARE
