"""Exact conversions between SI and the units people read; used only at the edge.

Source: NIST Special Publication 811 (2008), appendix B (published): the international pound
is 0.45359237 kg, the inch 0.0254 m, the US gallon 231 cubic inches, all exact.
"""

from __future__ import annotations

KG_PER_LB = 0.45359237
M_PER_IN = 0.0254
M_PER_FT = 12 * M_PER_IN
M3_PER_GAL = 231 * M_PER_IN**3
L_PER_GAL = 1000 * M3_PER_GAL
ZERO_CELSIUS_K = 273.15
MPS_PER_MPH = 0.44704


def celsius(*, fahrenheit: float) -> float:
    """degF to degC.

    >>> celsius(fahrenheit=212.0)
    100.0
    """
    return (fahrenheit - 32.0) / 1.8


def fahrenheit(*, celsius: float) -> float:
    """degC to degF.

    >>> fahrenheit(celsius=100.0)
    212.0
    """
    return celsius * 1.8 + 32.0


def kelvin(*, celsius: float) -> float:
    """degC to K."""
    return celsius + ZERO_CELSIUS_K


def kilograms(*, pounds: float) -> float:
    """lb to kg."""
    return pounds * KG_PER_LB


def pounds(*, kilograms: float) -> float:
    """kg to lb.

    >>> round(pounds(kilograms=100.0), 2)
    220.46
    """
    return kilograms / KG_PER_LB


def litres(*, gallons: float) -> float:
    """US gal to L."""
    return gallons * L_PER_GAL


def gallons(*, litres: float) -> float:
    """L to US gal.

    >>> round(gallons(litres=378.541), 2)
    100.0
    """
    return litres / L_PER_GAL


def centimetres(*, inches: float) -> float:
    """in to cm."""
    return inches * 100 * M_PER_IN


def inches(*, centimetres: float) -> float:
    """cm to in."""
    return centimetres / (100 * M_PER_IN)
