"""Every number of the grids of water and air, asked again of CoolProp (IAPWS-95; Lemmon's air).

``python -m tests.checks.test_property_grids`` writes the files anew.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from stations.trade import water

Values = NDArray[np.float64]
ONE_ATM_PA = 101_325.0
BOILS_C = 99.97  # above it the liquid is held at its own vapour's pressure
DIGITS = 10


def of_water() -> dict[str, Values]:
    """202 answers for each property, half a degree apart, and a cubic spline between them."""
    coarse = np.linspace(273.65, 374.15, 202)
    fine = np.linspace(273.65, 374.15, 2011)
    cool = coarse <= BOILS_C + 273.15

    def liquid(what: str) -> CubicSpline:
        under = PropsSI(what, "T", coarse[cool], "P", ONE_ATM_PA, "Water")
        over = PropsSI(what, "T", coarse[~cool], "Q", 0, "Water")
        return CubicSpline(coarse, np.concatenate([under, over]))

    def saturated(what: str, quality: int) -> Values:
        return np.asarray(PropsSI(what, "T", coarse, "Q", quality, "Water"), dtype=np.float64)

    enthalpy, latent = liquid("H"), saturated("H", 1) - saturated("H", 0)
    pressure = np.log(saturated("P", 0))  # nearly straight, so a spline holds it well
    return {
        "temp_c": fine - 273.15,
        "saturation_pa": np.exp(CubicSpline(coarse, pressure)(fine)),
        "density_kg_m3": liquid("D")(fine),
        "enthalpy_j_kg": enthalpy(fine),
        "heat_j_kg_k": enthalpy.derivative()(fine),
        "latent_j_kg": CubicSpline(coarse, latent)(fine),
    }


def of_air() -> dict[str, Values]:
    """Dry air at one atmosphere, every degree."""
    temps_c = np.linspace(-40.0, 110.0, 151)
    names = {
        "conductivity_w_m_k": "L",
        "viscosity_pa_s": "V",
        "density_kg_m3": "D",
        "heat_j_kg_k": "C",
    }
    asked = {
        name: PropsSI(what, "T", temps_c + 273.15, "P", ONE_ATM_PA, "Air")
        for name, what in names.items()
    }
    return {"temp_c": temps_c} | asked


def written(name: str) -> dict[str, Values]:
    """The columns of a file."""
    with (water.DATA / f"{name}.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    return {head: np.array([float(row[head]) for row in rows]) for head in rows[0]}


@pytest.mark.parametrize(("name", "asked"), [("water", of_water()), ("air", of_air())])
def test_the_files_hold_what_coolprop_answers(name: str, asked: Mapping[str, Values]) -> None:
    """Column by column, to the digits that are written."""
    found = written(name)
    assert list(found) == list(asked)
    for head, values in asked.items():
        assert found[head] == pytest.approx(values, rel=2e-9, abs=1e-9), head


@pytest.mark.parametrize("altitude_m", [-100.0, 0.0, 150.0, 1524.0, 4000.0])
def test_water_boils_where_coolprop_says(altitude_m: float) -> None:
    """The saturation grid read backwards."""
    pressure = water.pressure_at_altitude_pa(altitude_m)
    boils = PropsSI("T", "P", pressure, "Q", 0, "Water") - 273.15
    assert water.boiling_point_c(altitude_m) == pytest.approx(boils, abs=1e-5)


def write(name: str, asked: Mapping[str, Values]) -> None:
    """One file, to ten digits."""
    with (water.DATA / f"{name}.csv").open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(asked)
        for temp_c, *values in zip(*asked.values(), strict=True):
            out.writerow([f"{temp_c:.2f}", *(repr(float(f"{v:.{DIGITS}g}")) for v in values)])


if __name__ == "__main__":
    write("water", of_water())
    write("air", of_air())
