"""Heating 100 US gal from 15 to 62.8 degC, and the fuel: worked from named tables."""

import pytest
from CoolProp.CoolProp import PropsSI

from stations.trade.fuels import FUELS, J_PER_BTU, PROPANE_KG_M3, Fuel, fuel_kg
from stations.trade.measures import KG_PER_LB, litres, pounds
from stations.trade.water import density_kg_m3, enthalpy_j_kg

WATER_KG = litres(gallons=100.0) / 1000 * density_kg_m3(15.0)


def _heat_j():
    return WATER_KG * (enthalpy_j_kg(62.8) - enthalpy_j_kg(15.0))


def test_a_hundred_gallons_take_75_59_megajoules():
    """199.857 kJ/kg (IAPWS-97, 1 atm), 378.2 kg, 75.59 MJ, 71,642 Btu."""
    assert pytest.approx(378.2, abs=0.05) == WATER_KG
    assert (enthalpy_j_kg(62.8) - enthalpy_j_kg(15.0)) / 1000 == pytest.approx(199.857, rel=5e-4)
    assert _heat_j() / 1e6 == pytest.approx(75.59, rel=5e-4)
    assert _heat_j() / J_PER_BTU == pytest.approx(71_642, rel=5e-4)


def test_propane_for_a_hundred_gallons():
    """21,548 Btu/lb and 91,502 Btu/gal at 40 %: 8.31 lb, 1.957 gal (commercial propane table)."""
    kg = fuel_kg(Fuel.PROPANE, water_heat_j=_heat_j(), efficiency=0.40)
    assert pounds(kilograms=kg) == pytest.approx(8.31, abs=0.01)
    gallons = kg / PROPANE_KG_M3 / 0.003785411784
    assert gallons == pytest.approx(1.957, abs=0.002)


def test_wood_for_a_hundred_gallons():
    """7,000 Btu/lb at 12 %: 85.3 lb (wood of 20 % moisture)."""
    kg = fuel_kg(Fuel.WOOD, water_heat_j=_heat_j(), efficiency=0.12)
    assert pounds(kilograms=kg) == pytest.approx(85.3, abs=0.1)


def test_the_heating_values_lie_by_independent_ones():
    """Combustion by the chemicals library: 21,638 Btu/lb gross; wood recomputed 6,519 to 7,167."""
    propane = FUELS[Fuel.PROPANE].heat_j_kg * KG_PER_LB / J_PER_BTU
    assert propane == pytest.approx(21_638, rel=0.005)
    assert FUELS[Fuel.PROPANE].heat_j_kg == pytest.approx(50.330e6, rel=0.005)
    wood = FUELS[Fuel.WOOD].heat_j_kg * KG_PER_LB / J_PER_BTU
    assert 6_519 <= wood <= 7_167


def test_propane_density_lies_by_the_library():
    """Saturated liquid at 60 F is 506.69 kg/m3 (CoolProp); the table's is 4.247 lb/gal."""
    assert pytest.approx(PropsSI("D", "T", 288.706, "Q", 0, "Propane"), rel=0.006) == PROPANE_KG_M3
