"""Conduction into a deep solid: textbook examples, and the closed form through scipy."""

import math

import numpy as np
import pytest
from scipy.linalg import solve_banded
from scipy.optimize import brentq
from scipy.special import erfc, erfinv

from stations.trade.hide import (
    Layers,
    skin_uptake_j_m2_k,
    solid_temperature_c,
    solid_uptake_j_m2_k,
)

DAY_S = 86_400.0


def test_the_frozen_soil_example_gives_0_677_m():
    """Incropera Ex. 5.6: 20 degC soil, -15 degC surface, 0.138e-6 m2/s, 60 days: printed 0.68 m."""
    depth = brentq(
        lambda x: solid_temperature_c(
            x, 60 * DAY_S, start_c=20.0, surface_c=-15.0, alpha_m2_s=0.138e-6
        ),
        0.1,
        2.0,
    )
    assert depth == pytest.approx(0.677, abs=5e-4)
    closed = 2 * erfinv(15 / 35) * math.sqrt(0.138e-6 * 60 * DAY_S)
    assert depth == pytest.approx(closed, rel=1e-9)


def test_the_water_main_example_gives_0_80_m():
    """Cengel Ex. 4-6, 0.15e-6, 15 to -10 degC, 90 days: exact 0.8009 m; its chart 0.7776."""
    depth = brentq(
        lambda x: solid_temperature_c(
            x, 90 * DAY_S, start_c=15.0, surface_c=-10.0, alpha_m2_s=0.15e-6
        ),
        0.1,
        2.0,
    )
    assert depth == pytest.approx(0.8009, abs=5e-4)


def test_the_error_functions_agree():
    """erfc(0.5) = 0.4795001222, erfinv(15/35) = 0.4001862498."""
    assert math.erfc(0.5) == pytest.approx(0.4795001222, abs=1e-10)
    assert erfc(0.5) == pytest.approx(math.erfc(0.5), abs=1e-12)
    assert erfinv(15 / 35) == pytest.approx(0.4001862498, abs=1e-10)


@pytest.mark.parametrize(
    ("depth_mm", "temp_c"), [(2.5, 53.49), (5.0, 47.48), (10.0, 38.32), (50.0, 30.80)]
)
def test_scald_conduction_at_depths(depth_mm, temp_c):
    """60 degC water, 30.8 degC start, 1e-7 m2/s, 390 s (computed); 53 degC was measured."""
    found = solid_temperature_c(
        depth_mm / 1000, 390.0, start_c=30.8, surface_c=60.0, alpha_m2_s=1e-7
    )
    assert found == pytest.approx(temp_c, abs=0.005)


@pytest.mark.parametrize(
    ("k", "alpha", "seconds", "megajoules"),
    [
        (0.207, 1.02e-7, 300.0, 0.806),
        (0.37, 9.9e-8, 300.0, 1.46),
        (0.207, 1.02e-7, 240.0, 0.72),
        (0.37, 9.9e-8, 240.0, 1.31),
    ],
)
def test_uptake_of_a_two_square_metre_hog(k, alpha, seconds, megajoules):
    """2 m2 from 31 to 62.8 degC (computed)."""
    found = 2.0 * 31.8 * solid_uptake_j_m2_k(seconds, k_w_m_k=k, alpha_m2_s=alpha) / 1e6
    assert found == pytest.approx(megajoules, abs=0.006)


def test_two_equal_layers_are_one_solid():
    same = Layers(fat_w_m_k=0.37, fat_m2_s=9.9e-8)
    for seconds in (1.0, 60.0, 600.0):
        one = solid_uptake_j_m2_k(seconds, k_w_m_k=0.37, alpha_m2_s=9.9e-8)
        assert skin_uptake_j_m2_k(seconds, layers=same) == pytest.approx(one, rel=1e-12)


def test_skin_over_fat_takes_between_all_fat_and_all_skin():
    """At first the skin decides, later the fat: 0.81 to 1.46 MJ bracket it at 300 s."""
    found = 2.0 * 31.8 * skin_uptake_j_m2_k(300.0) / 1e6
    assert 0.81 < found < 1.46
    early = solid_uptake_j_m2_k(2.0, k_w_m_k=0.37, alpha_m2_s=9.9e-8)
    assert skin_uptake_j_m2_k(2.0) == pytest.approx(early, rel=1e-3)
    late = solid_uptake_j_m2_k(80_000.0, k_w_m_k=0.207, alpha_m2_s=1.02e-7)
    assert skin_uptake_j_m2_k(80_000.0) == pytest.approx(late, rel=0.06)


def test_skin_over_fat_agrees_with_a_grid_of_finite_volumes():
    """An independent numerical solution of the same two layers (computed)."""
    layers, cell, step, seconds = Layers(), 5e-5, 0.25, 300.0
    x = (np.arange(1200) + 0.5) * cell
    skin = x < layers.skin_m
    k = np.where(skin, layers.skin_w_m_k, layers.fat_w_m_k)
    heat = k / np.where(skin, layers.skin_m2_s, layers.fat_m2_s)
    between = 2 / (cell / k[1:] + cell / k[:-1])
    surface = k[0] / (cell / 2)
    diagonal = heat * cell / step
    lower, upper = np.zeros(x.size), np.zeros(x.size)
    upper[1:], lower[:-1] = -between, -between
    middle = diagonal.copy()
    middle[:-1] += between
    middle[1:] += between
    middle[0] += surface
    temps, taken = np.zeros(x.size), 0.0
    for _ in range(round(seconds / step)):
        right = diagonal * temps
        right[0] += surface
        temps = solve_banded((1, 1), np.vstack([upper, middle, lower]), right)
        taken += surface * (1.0 - temps[0]) * step
    assert skin_uptake_j_m2_k(seconds) == pytest.approx(taken, rel=0.01)
