"""Transient conduction: tabled roots, the series at named points, closed forms, and the grid."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.chilling import Ham, HourlyAir, chill_curve, cooling_time_s
from stations.trade.conduction import Shape, centre_theta, follow_air, modes_of
from stations.trade.conduction_grid import Body, grid_centre_c

HOUR = 3600.0
HAM_W_M_K, HAM_J_M3_K = 0.47, 1050.0 * 3500.0

# Incropera table 5.1 (from memory) agrees to four digits; computed with another root finder.
ROOTS = {
    Shape.SLAB: [
        (0.1, 0.3111, 1.0161),
        (0.5, 0.6533, 1.0701),
        (1, 0.8603, 1.1191),
        (2, 1.0769, 1.1785),
        (5, 1.3138, 1.2402),
        (10, 1.4289, 1.2620),
        (100, 1.5552, 1.2731),
    ],
    Shape.CYLINDER: [
        (0.1, 0.4417, 1.0246),
        (0.5, 0.9408, 1.1143),
        (1, 1.2558, 1.2071),
        (2, 1.5994, 1.3384),
        (5, 1.9898, 1.5029),
        (10, 2.1795, 1.5677),
        (100, 2.3809, 1.6015),
    ],
    Shape.SPHERE: [
        (0.1, 0.5423, 1.0298),
        (0.5, 1.1656, 1.1441),
        (1, 1.5708, 1.2732),
        (2, 2.0288, 1.4793),
        (5, 2.5704, 1.7870),
        (10, 2.8363, 1.9249),
        (100, 3.1102, 1.9990),
    ],
}


@pytest.mark.parametrize(
    ("shape", "Bi", "zeta", "C"), [(s, *row) for s, rows in ROOTS.items() for row in rows]
)
def test_first_roots_and_weights(shape, Bi, zeta, C):
    first = modes_of(shape, float(Bi))
    assert first.zeta[0] == pytest.approx(zeta, abs=6e-5)
    assert first.centre[0] == pytest.approx(C, abs=6e-5)


@pytest.mark.parametrize(
    ("shape", "thetas"),
    [
        (Shape.SLAB, (0.91789, 0.65962, 0.36956)),
        (Shape.CYLINDER, (0.78999, 0.37240, 0.10365)),
        (Shape.SPHERE, (0.64334, 0.18893, 0.02413)),
    ],
)
def test_centre_at_biot_two(shape, thetas):
    """Fo 0.2, 0.5, 1; series of 30 to 40 terms (computed apart)."""
    for Fo, theta in zip((0.2, 0.5, 1.0), thetas, strict=True):
        assert centre_theta(shape, 2.0, Fo) == pytest.approx(theta, abs=6e-6)


def fitted_cylinder_and_slab(L: float) -> tuple[float, float]:
    """ASHRAE Refrigeration, tables 1 and 2, polynomials of Lacroix and Castaigne; L = ln Bi."""
    u = (0.860972, 0.312133, 0.007986, -0.016192, -0.001190, 0.000581)
    v = (1.257493, 0.487941, 0.025322, -0.026568, -0.002888, 0.001078)
    return sum(c * L**n for n, c in enumerate(v)), sum(c * L**n for n, c in enumerate(u))


@pytest.mark.parametrize("Bi", [0.15, 0.5, 1.0, 2.0, 5.0, 10.0, 100.0])
def test_roots_agree_with_the_published_polynomials(Bi):
    """At Bi 2: 1.0756 and 1.5985, exact 1.0769 and 1.5994; near Bi 50 the fit is 3.5 % off."""
    v, u = fitted_cylinder_and_slab(math.log(Bi))
    assert modes_of(Shape.CYLINDER, Bi).zeta[0] == pytest.approx(v, rel=0.01)
    assert modes_of(Shape.SLAB, Bi).zeta[0] == pytest.approx(u, rel=0.01)


@pytest.mark.parametrize(
    ("radius_m", "air_c", "hours"), [(0.10, 1.0, 22.10), (0.10, -1.0, 18.77), (0.11, 1.0, 25.44)]
)
def test_a_ham_like_cylinder_reaches_40_f(radius_m, air_c, hours):
    """k 0.47, rho 1050, c 3500, h 10, 39 to 4.444 degC (computed, exact series)."""
    body = Body(
        shape=Shape.CYLINDER,
        radius_m=radius_m,
        k_w_m_k=HAM_W_M_K,
        heat_j_m3_k=HAM_J_M3_K,
        film_w_m2_k=10.0,
    )
    Fo = body.alpha_m2_s * hours * HOUR / radius_m**2
    left = centre_theta(Shape.CYLINDER, body.Bi, Fo)
    assert air_c + left * (39.0 - air_c) == pytest.approx(4.444, abs=0.006)


def test_the_brick_of_the_handbook_two_ways():
    """Ham 0.102 x 0.165 x 0.279 m, 70 to 10 degC, air -1, h 48, k 0.379, rho 1080, c 3740.

    Inputs from memory; the exact product of three slabs takes 6.59 h, the handbook's equations
    with E 1.149, jc 1.573, w 2.6846 take 6.47 h: two methods, 1.9 % apart.
    """
    alpha, Y = 0.379 / (1080 * 3740), 11 / 71
    left = 1.0
    for side in (0.102, 0.165, 0.279):
        half = side / 2
        left *= centre_theta(Shape.SLAB, 48 * half / 0.379, alpha * 6.59 * HOUR / half**2)
    assert left == pytest.approx(Y, rel=0.005)
    half = 0.102 / 2
    fit_s = 3 * half**2 / (2.6846**2 * alpha * 1.149) * math.log(1.573 / Y)
    assert fit_s / HOUR == pytest.approx(6.47, abs=0.01)


@given(
    temps=st.lists(st.floats(-5.0, 20.0), min_size=3, max_size=7),
    carcass_kg=st.floats(40.0, 160.0),
    start_c=st.floats(30.0, 41.0),
)
@settings(deadline=None, max_examples=6)
def test_series_and_grid_agree_within_one_per_cent(temps, carcass_kg, start_c):
    """Of the first difference to the air, for air that changes every few hours."""
    points = tuple((n * 4 * HOUR, temp) for n, temp in enumerate(temps))
    air, ham = HourlyAir(points=points), Ham(carcass_kg=carcass_kg, start_c=start_c)
    curve = chill_curve(ham, air)
    grid = grid_centre_c(
        ham.body, air.at, start_c=start_c, seconds=air.until_s, shells=50, step_s=120.0
    )
    for n, temp in enumerate(grid[30:], start=30):
        assert abs(temp - curve.centre_at(n * 120.0)) <= 0.01 * (start_c + 5.0)


@pytest.mark.parametrize("shape", list(Shape))
def test_grid_and_series_agree_for_every_shape(shape):
    """Time to 40 F from 39 degC in air at 1 degC, within 1 % (the issue asks for 1 %)."""
    body = Body(
        shape=shape, radius_m=0.09, k_w_m_k=HAM_W_M_K, heat_j_m3_k=HAM_J_M3_K, film_w_m2_k=10.0
    )
    temps = grid_centre_c(body, lambda _: 1.0, start_c=39.0, seconds=60 * HOUR)
    at_s = next(n for n, temp in enumerate(temps) if temp <= 4.444) * 60.0
    left = centre_theta(shape, body.Bi, body.alpha_m2_s * at_s * 0.99 / body.radius_m**2)
    right = centre_theta(shape, body.Bi, body.alpha_m2_s * at_s * 1.01 / body.radius_m**2)
    assert right < (4.444 - 1.0) / 38.0 < left


def test_a_lump_follows_a_ramp_as_the_closed_form_says():
    """da/dt = r (s t - a), a(0) = 0: a = s (t - (1 - e^(-r t)) / r)."""
    r, s, t = 2e-4, 1e-3, 7200.0
    found = follow_air((0.0, t), np.array([0.0, s * t]), rates=np.array([r]), start_c=np.array(0.0))
    assert found[1, 0] == pytest.approx(s * (t - (1 - math.exp(-r * t)) / r), rel=1e-12)


@pytest.mark.parametrize(
    ("air_c", "hours"), [(-1, 16.5), (0, 17.7), (1, 19.2), (2, 21.3), (2.22, 21.9), (3, 24.7)]
)
def test_two_number_method(air_c, hours):
    """f 15.4 h, j 1.6, 39 to 4.444 degC (computed; 32.4 h at 4 degC below)."""
    found = cooling_time_s(f_s=15.4 * HOUR, j=1.6, start_c=39, air_c=air_c, target_c=4.444)
    assert found / HOUR == pytest.approx(hours, abs=0.06)


def test_two_number_method_close_to_the_air():
    found = cooling_time_s(f_s=15.4 * HOUR, j=1.6, start_c=39, air_c=4.0, target_c=4.444)
    assert found / HOUR == pytest.approx(32.4, abs=0.06)
