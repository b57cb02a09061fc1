"""Skin area of hogs: Itoh et al. 2016 (miniature pigs by CT), and a second form from memory."""

import pytest

from stations.trade.hide import Hog, skin_area_m2


@pytest.mark.parametrize(("live_kg", "area_m2"), [(12.7, 0.4358), (37.0, 0.8356)])
def test_the_formula_lies_near_the_measured_ends(live_kg, area_m2):
    """Gottingen pigs, 12.7 to 37.0 kg: 0.4358 to 0.8356 m2; the fit gives 0.434 and 0.886."""
    assert skin_area_m2(live_kg) == pytest.approx(area_m2, rel=0.065)


@pytest.mark.parametrize(
    ("live_kg", "area_m2", "from_memory_m2"),
    [
        (90.0, 1.603, 1.674),
        (100.0, 1.719, 1.790),
        (115.0, 1.887, 1.955),
        (125.0, 1.995, 2.061),
        (136.0, 2.110, 2.174),
    ],
)
def test_extrapolated_to_farm_hogs_two_forms_agree(live_kg, area_m2, from_memory_m2):
    """0.0798 W^(2/3) computed; 0.097 W^0.633 is from memory and only stands beside it."""
    assert skin_area_m2(live_kg) == pytest.approx(area_m2, abs=0.0006)
    assert skin_area_m2(live_kg) == pytest.approx(from_memory_m2, rel=0.046)


def test_a_hog_is_as_thick_as_its_girth_says():
    """The farmers' rule: weight in lb = girth^2 x length / 400, in inches (common practice)."""
    hog = Hog(live_kg=125.0)
    length_in = hog.length_m / 0.0254
    girth_in = (400 * 125.0 / 0.45359237 / length_in) ** 0.5
    assert hog.thickness_m == pytest.approx(girth_in * 0.0254 / 3.14159, rel=0.10)
