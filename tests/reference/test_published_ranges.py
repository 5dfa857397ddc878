"""Inputs that nobody can look up to the digit: the defaults lie within what was published."""

from __future__ import annotations

import pytest

from planner.scenario.gear import Burner, Melting
from planner.trade import convection, cylinder
from planner.trade.lifting import RAISED_RISK_INDEX, REFUSED_INDEX, SCOPE_C
from planner.trade.lifting_frequency import LONGEST_H
from planner.trade.payload import OCCUPANT_KG
from planner.workshop.premises import MOST_EFFICIENT_SHARE
from tests.small import business

POUND_KG = 0.45359237  # exact, international yard and pound agreement of 1959
BTU_J = 1055.056
GALLON_M3 = 3.785411784e-3  # exact, US liquid gallon


def melting(**changes: str) -> Melting:
    return business(melting=changes).melting


# Heat into water over heat of the fuel, open gas burners. None of them melted lead.
EFFICIENCIES = (
    0.42,  # Cambridge Clarion, thin steel pan of 21 cm
    0.32,  # fact sheet on induction cooktops quoting ENERGY STAR
    0.40,  # blog quoting boiling tests of the US Department of Energy
    0.3195,  # P. Scheckel's test, reported by Fast Company 2016
    0.51,  # Bhatt, Mulla, Dhamangaonkar, ICRIT 2011
    0.58,  # Khan and Saxena, IJERT 2(7) 2013
)


def test_efficiency_of_the_burner_lies_among_those_measured_boiling_water() -> None:
    default = Burner.model_fields["efficiency_share"].default
    assert min(EFFICIENCIES) < default < max(EFFICIENCIES)
    assert max(EFFICIENCIES) < MOST_EFFICIENT_SHARE


def test_emissivities_are_those_of_published_tables() -> None:
    """Tables for thermographers: lead oxidised .28 at 20 and .63 at 200 degC, steel oxidised .78 to .82."""
    of = melting()
    assert 0.28 < of.emissivity_top < 0.63
    assert 0.78 <= of.emissivity_side <= 0.82


# Hilpert: Nu = C Re^m Pr^(1/3), Incropera et al. table 7.2, from memory: Re from, to, C, m. The last row goes on to
# 4e5; a pot of 35 cm in a gale of 5 m/s at the pot comes to 1.2e5.
HILPERT = ((40.0, 4e3, 0.683, 0.466), (4e3, 4e4, 0.193, 0.618), (4e4, 1.2e5, 0.027, 0.805))


@pytest.mark.parametrize(("low", "high", "c", "m"), HILPERT)
def test_a_cylinder_in_wind_lies_near_hilperts_rule(low: float, high: float, c: float, m: float) -> None:
    """The rules for a cylinder in cross flow differ by up to 20 % among themselves (Incropera et al., section 7.4)."""
    for reynolds in (low, (low * high) ** 0.5, high):
        hilpert = c * reynolds**m * convection.PRANDTL_AIR ** (1 / 3)
        assert convection.nu_cylinder_wind(reynolds) == pytest.approx(hilpert, rel=0.20)


def test_a_gallon_of_propane_holds_what_the_trade_table_says() -> None:
    """Properties table of commercial propane, as in the annex of NFPA 58: gross heat and mass of a US gallon."""
    gallon_kg = cylinder.LIQUID_DENSITY_KG_M3 * GALLON_M3
    gross_btu = cylinder.GROSS_HEATING_J_PER_KG * gallon_kg / BTU_J
    assert gross_btu == pytest.approx(91_547, rel=0.01)  # before vaporisation
    assert gross_btu == pytest.approx(91_502, rel=0.01)  # after it
    assert gallon_kg / POUND_KG == pytest.approx(4.2, rel=0.01)


def test_fuel_is_counted_on_the_net_heating_value() -> None:
    """A 3 kW fire for an hour; on the gross value it would be 8 % less."""
    net = cylinder.fuel_kg(3000.0, 1.0)
    assert net == pytest.approx(10.8e6 / 46.338e6)
    assert pytest.approx(0.92 * net, rel=0.005) == 10.8e6 / cylinder.GROSS_HEATING_J_PER_KG


def test_a_seat_counts_as_150_lb() -> None:
    """49 CFR 567.4(g)(3)."""
    assert pytest.approx(150 * POUND_KG, abs=0.05) == OCCUPANT_KG


def test_what_the_lifting_equation_covers_and_what_its_index_says() -> None:
    """NIOSH 94-110 section 1.2: 19 to 26 degC, up to 8 h; p. 20: risk is raised above 1.

    That nearly all are at raised risk above 3 is from the same page; refusing there is this project's rule.
    """
    assert SCOPE_C == (19.0, 26.0)
    assert LONGEST_H == 8.0
    assert (RAISED_RISK_INDEX, REFUSED_INDEX) == (1.0, 3.0)
