"""Weights and lengths in people's own units."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from workshops.models import Units
from workshops.quantities import LENGTH, WEIGHT, Quantity

TENTHS_KG = st.integers(0, 4500).map(lambda tenths: Decimal(tenths) / 10)
WHOLE_CM = st.integers(100, 230).map(Decimal)


@given(stored=TENTHS_KG, units=st.sampled_from(Units))
def test_a_weight_that_is_shown_and_saved_again_stays_the_same(
    stored: Decimal, units: Units
) -> None:
    """Opening a page and saving it changes nothing."""
    assert WEIGHT.stored(WEIGHT.typed(stored, units), units) == stored


@given(stored=WHOLE_CM, units=st.sampled_from(Units))
def test_a_height_that_is_shown_and_saved_again_stays_the_same(
    stored: Decimal, units: Units
) -> None:
    """Opening a page and saving it changes nothing."""
    assert LENGTH.stored(LENGTH.typed(stored, units), units) == stored


@pytest.mark.parametrize("quantity", [WEIGHT, LENGTH])
@given(typed=st.integers(0, 990))
def test_a_whole_number_that_was_typed_is_found_again(quantity: Quantity, typed: int) -> None:
    """55 lb stays 55, though the row keeps 24.9 kg."""
    assert quantity.typed(quantity.stored(Decimal(typed), Units.US), Units.US) == typed


@pytest.mark.parametrize(
    ("line", "us", "metric"),
    [
        ("{{ 100|weight:units }}", "220 lb", "100 kg"),
        ("{{ 170|height:units }}", "5 ft 7 in", "170 cm"),
        ("{{ 182|height:units }}", "6 ft 0 in", "182 cm"),
        ("{{ 63|temperature:units }}", "145 °F", "63 °C"),
        ("{{ 378.541|volume:units }}", "100 gal", "379 L"),
        ("{{ nothing|weight:units }}", "–", "–"),  # noqa: RUF001  # as printed
    ],
)
def test_the_filters_show_si_in_the_workshops_units(line: str, us: str, metric: str) -> None:
    """100 kg is 220.46 lb; 378.541 L is 100 US gal; 63 degC is 145.4 degF."""
    template = Template("{% load measures %}" + line)
    said = [
        template.render(Context({"units": units, "nothing": None}))
        for units in (Units.US, Units.METRIC)
    ]
    assert said == [us, metric]
