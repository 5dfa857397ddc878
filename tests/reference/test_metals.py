"""Melting points, heats and densities against published values and against a general-purpose library.

chemicals 1.5.2 carries the CRC Handbook of Chemistry and Physics and the NIST Chemistry WebBook. Known to be wrong or
beside the point in such libraries, and not used: a melting point of zinc of 789 K, a heat capacity of iron of
749 J/kg/K, the density of grey tin.
"""

from __future__ import annotations

import chemicals
import numpy as np
import pytest
from chemicals import heat_capacity, volume

from planner.trade.metals import IRON, LEAD, ZINC, Metal
from planner.trade.pot import warming_j

CAS = {"Pb": "7439-92-1", "Zn": "7440-66-6", "Fe": "7439-89-6"}
KELVIN = 273.15
EACH = pytest.mark.parametrize("metal", [LEAD, ZINC, IRON], ids=lambda metal: metal.name)


def molar_kg(metal: Metal) -> float:
    return float(chemicals.MW(CAS[metal.symbol])) / 1000.0


@EACH
def test_melting_points_are_those_of_the_crc_handbook(metal: Metal) -> None:
    assert metal.melting_c + KELVIN == pytest.approx(
        chemicals.Tm(CAS[metal.symbol], method="CRC_INORG"), abs=0.01
    )


@EACH
def test_heats_of_fusion_are_those_of_the_crc_handbook(metal: Metal) -> None:
    found = chemicals.Hfus(CAS[metal.symbol], method="CRC") / molar_kg(metal)
    assert metal.fusion_j_per_kg == pytest.approx(found, rel=1e-3)


@EACH
def test_densities_of_the_liquid_are_those_of_the_crc_handbook(metal: Metal) -> None:
    _ = volume.rho_data_CRC_inorg_l  # loads the tables
    row = volume.rho_data_CRC_inorg_l.loc[CAS[metal.symbol]]
    assert metal.liquid_kg_per_m3 == pytest.approx(float(row["rho"]), rel=1e-3)


@pytest.mark.parametrize(
    ("metal", "fusion_k", "liquid_k"), [(LEAD, 600.6, 700.0), (ZINC, 692.73, 750.0)], ids=["lead", "zinc"]
)
def test_specific_heats_of_lead_and_zinc_are_the_means_of_the_nist_webbook(
    metal: Metal, fusion_k: float, liquid_k: float
) -> None:
    heat_capacity.Cp_dict_PerryI  # noqa: B018 - loads the tables
    solid = heat_capacity.WebBook_Shomate_solids[CAS[metal.symbol]]
    liquid = heat_capacity.WebBook_Shomate_liquids[CAS[metal.symbol]]
    mean_solid = solid.calculate_integral(293.15, fusion_k) / (fusion_k - 293.15) / molar_kg(metal)
    mean_liquid = liquid.calculate_integral(fusion_k, liquid_k) / (liquid_k - fusion_k) / molar_kg(metal)
    assert metal.solid_j_per_kg_k == pytest.approx(mean_solid, rel=2e-3)
    assert metal.liquid_j_per_kg_k == pytest.approx(mean_liquid, rel=2e-3)


# CRC Handbook, heat capacity of selected solids [J/mol/K] at these temperatures [K]
CRC_K = (300.0, 350.0, 400.0, 500.0, 600.0)
CRC_SOLIDS = {
    "Pb": (26.85, 27.30, 27.72, 28.55, 29.40),
    "Zn": (25.45, 25.88, 26.35, 27.39, 28.59),
    "Fe": (25.15, 26.28, 27.39, 29.70, 32.05),
}


@pytest.mark.parametrize("metal", [LEAD, ZINC, IRON], ids=lambda metal: metal.name)
def test_specific_heats_agree_with_a_second_table(metal: Metal) -> None:
    """CRC Handbook, heat capacity of selected solids: trapezoids from 20 degC to the end of the mean."""
    end_k = min(metal.melting_c, 400.0) + KELVIN
    values = CRC_SOLIDS[metal.symbol]
    slope = (values[-1] - values[-2]) / 100.0
    t_k = np.linspace(293.15, end_k, 2001)
    molar = np.where(t_k > 600.0, values[-1] + slope * (t_k - 600.0), np.interp(t_k, CRC_K, values))
    mean = float(np.trapezoid(molar, t_k)) / (end_k - 293.15) / molar_kg(metal)
    assert metal.solid_j_per_kg_k == pytest.approx(mean, rel=0.01)


def test_specific_heat_of_iron_agrees_with_perry_and_not_with_a_library_that_is_wrong() -> None:
    """Perry's Chemical Engineers' Handbook, table 2-151, alpha iron, error 3 %: 4.13 + .00638 T cal/mol/K."""
    mean_k = (20.0 + 400.0) / 2 + KELVIN
    perry = (4.13 + 0.00638 * mean_k) * 4.184 / molar_kg(IRON)
    assert IRON.solid_j_per_kg_k == pytest.approx(perry, rel=0.03)
    assert IRON.solid_j_per_kg_k < 0.75 * 749.2


@pytest.mark.parametrize(
    ("metal", "at_25_c"),
    [(LEAD, 129.6), (ZINC, 388.4), (IRON, 449.0)],
    ids=lambda x: getattr(x, "name", ""),
)
def test_mean_specific_heats_lie_at_or_somewhat_above_those_at_room_temperature(
    metal: Metal, at_25_c: float
) -> None:
    """thermo 0.6.1 at 298.15 K; iron mendeleev 1.3.0."""
    assert at_25_c * 0.998 <= metal.solid_j_per_kg_k <= at_25_c * 1.2


@pytest.mark.parametrize(("metal", "printed"), [(ZINC, 479.96), (LEAD, 146.21)], ids=["zinc", "lead"])
def test_specific_heats_of_the_liquid_at_700_k(metal: Metal, printed: float) -> None:
    """thermo 0.6.1 at 700 K."""
    assert metal.liquid_j_per_kg_k == pytest.approx(printed, rel=0.01)


A_KG_OF_LEAD = (1.0, 0.0, 0.0, 0.0, 0.0)


def test_lead_from_20_to_400_degc_takes_75_kj_a_kilogram() -> None:
    """thermo 0.6.1: solid 41.705 + fusion 23.041 + liquid 10.696 = 75.442 kJ/kg."""
    assert warming_j(A_KG_OF_LEAD, 20.0, 400.0) == pytest.approx(75_442.0, rel=2e-3)


@pytest.mark.parametrize(("t_c", "printed"), [(350.0, 3332.6), (400.0, 10690.0), (450.0, 18001.5)])
def test_molten_lead_agrees_with_the_oecd_nea_handbook(t_c: float, printed: float) -> None:
    """OECD/NEA Handbook on lead-bismuth eutectic alloy and lead properties 2015: heat above the melt [J/kg]."""
    found = warming_j(A_KG_OF_LEAD, LEAD.melting_c, t_c) - LEAD.fusion_j_per_kg
    assert found == pytest.approx(printed, rel=0.015)


def test_lead_melts_where_and_takes_what_the_oecd_nea_handbook_says() -> None:
    """OECD/NEA Handbook 2015: 600.6 K, 23 070 J/kg; density of the liquid 10 643.7 kg/m3 at 350 degC."""
    assert LEAD.melting_c + KELVIN == pytest.approx(600.6, abs=0.05)
    assert LEAD.fusion_j_per_kg == pytest.approx(23_070.0, rel=0.005)
    assert LEAD.liquid_kg_per_m3 == pytest.approx(10_643.7, rel=0.002)


def test_lead_and_zinc_in_a_second_table() -> None:
    """mendeleev 1.3.0: heats of fusion 4.77, 7.28 and 13.8 kJ/mol, which are rounded values of other handbooks."""
    for metal, kj_per_mol, within in ((LEAD, 4.77, 0.005), (ZINC, 7.28, 0.035), (IRON, 13.8, 0.005)):
        assert metal.fusion_j_per_kg * molar_kg(metal) / 1000.0 == pytest.approx(kj_per_mol, rel=within)


def test_the_melting_point_of_zinc_is_not_the_one_that_a_library_has_wrong() -> None:
    """chemicals 1.5.2 with the NIST WebBook gives 789.2 K; the CRC Handbook 692.7 K."""
    assert chemicals.Tm(CAS["Zn"], method="WEBBOOK") > ZINC.melting_c + KELVIN + 90.0
    assert chemicals.Tm(CAS["Pb"], method="WEBBOOK") == pytest.approx(LEAD.melting_c + KELVIN, abs=0.3)
