"""The hog as the water meets it: its skin area, its size, and the heat that soaks into its skin.

Skin over fat is treated as two layers without end: for the few minutes of a scald the warm wave
goes about a centimetre deep (at 5 cm nothing has happened yet).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stations.trade.errors import within
from stations.trade.sources import Source, Trust

SKIN_AREA = Source(
    title="Itoh et al., J. Toxicol. Sci. 41(5):637-644, 2016",
    place="A = 0.0798 W^(2/3), 7.9 to 41.5 kg; extrapolated to farm hogs",
    trust=Trust.PUBLISHED,
)
START_TEMPERATURE = Source(
    title="The effect of scalding on subcutaneous and ham temperatures, Meat Science 1993",
    place="abstract, 30.8 degC rising towards 53 in water at 60",
    trust=Trust.PUBLISHED,
)
# L = k W^(1/3) is published (Petherick 1983); the coefficient 0.300 for body length is from memory.
BODY_LENGTH = Source(
    title="Petherick, Anim. Prod., 1983", place="L = 0.300 W^(1/3)", trust=Trust.MEMORY
)
CARCASS_DENSITY_KG_M3 = 1004.2  # Choi-Okos at 20 degC on USDA carcass composition (computed)
FULL_GROWN_SKIN_C = 30.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """Skin over fat: conductivities (W/m K), diffusivities (m2/s), skin thickness (m).

    Skin 0.37 and 9.9e-8: the burn literature's skin (computed inputs). Fat 0.207 and 1.02e-7:
    Choi-Okos on USDA backfat at 20 degC (computed). 2.75 mm of skin: the depth at which plain
    conduction gives the 53 degC measured between rind and fat (computed from Meat Science 1993).
    """

    skin_w_m_k: float = 0.37
    skin_m2_s: float = 9.9e-8
    fat_w_m_k: float = 0.207
    fat_m2_s: float = 1.02e-7
    skin_m: float = 0.00275

    def __post_init__(self) -> None:
        for value in (self.skin_w_m_k, self.fat_w_m_k):
            within("conductivity", value, low=0.1, high=0.7, unit="W/m K", rule="skin and fat")
        for value in (self.skin_m2_s, self.fat_m2_s):
            within("diffusivity", value, low=5e-8, high=3e-7, unit="m2/s", rule="skin and fat")
        within("skin thickness", self.skin_m, low=0.0005, high=0.05, unit="m", rule="skin and fat")

    @property
    def skin_effusivity(self) -> float:
        """k / sqrt(alpha) of the skin, in W s^0.5/(m2 K)."""
        return self.skin_w_m_k / math.sqrt(self.skin_m2_s)

    @property
    def fat_effusivity(self) -> float:
        """k / sqrt(alpha) of the fat, in W s^0.5/(m2 K)."""
        return self.fat_w_m_k / math.sqrt(self.fat_m2_s)


SKIN_OVER_FAT = Layers()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hog:
    """A hog at the water's edge.

    ``live_kg`` 5 to 350 kg live weight; ``skin_c`` 0 to 40 degC just under the skin;
    ``film_kg_m2`` 0 to 2 kg of rinse water held by a square metre of coat at ``film_c`` 0 to 40
    degC. The film has no published value: half a millimetre on sleek skin to more than one on a
    wet winter coat is a judgement, and the readings correct for it.

    >>> round(Hog(live_kg=125.0).skin_m2, 3)
    1.995
    """

    live_kg: float
    skin_c: float = FULL_GROWN_SKIN_C
    film_kg_m2: float = 0.8
    film_c: float = 12.0

    def __post_init__(self) -> None:
        skin_area_m2(self.live_kg)
        within("skin temperature", self.skin_c, low=0.0, high=40.0, unit="degC", rule="hog")
        within("rinse film", self.film_kg_m2, low=0.0, high=2.0, unit="kg/m2", rule="hog")
        within("rinse temperature", self.film_c, low=0.5, high=40.0, unit="degC", rule="hog")

    @property
    def skin_m2(self) -> float:
        """Skin area of this hog."""
        return skin_area_m2(self.live_kg)

    @property
    def film_kg(self) -> float:
        """Rinse water on the whole hog."""
        return self.film_kg_m2 * self.skin_m2

    @property
    def volume_m3(self) -> float:
        """Room the hog takes up in the water."""
        return self.live_kg / CARCASS_DENSITY_KG_M3

    @property
    def length_m(self) -> float:
        """Body length, 0.300 W^(1/3); the coefficient is from memory."""
        return float(0.300 * self.live_kg ** (1 / 3))

    @property
    def thickness_m(self) -> float:
        """How deep the hog lies on its side: the round body of its length and volume."""
        return math.sqrt(4 * self.volume_m3 / (math.pi * self.length_m))


def skin_area_m2(live_kg: float) -> float:
    """Area of the hog's skin, A = 0.0798 W^(2/3), in m2.

    ``live_kg`` in kg, 5 to 350; otherwise raises OutOfRange. Measured to 41.5 kg; above that it is
    extrapolated, within 5 % of A = 0.097 W^0.633 (from memory) at 90 to 136 kg.

    >>> round(skin_area_m2(37.0), 3)
    0.886

    Source: Itoh et al., J. Toxicol. Sci. 41(5):637-644, 2016, abstract (published).
    """
    within("live weight", live_kg, low=5.0, high=350.0, unit="kg", rule="skin area")
    return float(0.0798 * live_kg ** (2 / 3))


def solid_temperature_c(
    depth_m: float, seconds: float, *, start_c: float, surface_c: float, alpha_m2_s: float
) -> float:
    """Temperature at a depth of a deep solid whose surface jumps and stays: erfc law, in degC.

    T = T_start + (T_surface - T_start) erfc(x / (2 sqrt(alpha t))). ``depth_m`` >= 0 m,
    ``seconds`` >= 0 s, ``alpha_m2_s`` 1e-9 to 1e-3 m2/s; otherwise raises OutOfRange.

    >>> water = {"start_c": 30.8, "surface_c": 60.0, "alpha_m2_s": 1.0e-7}
    >>> round(solid_temperature_c(0.0025, 390.0, **water), 2)
    53.49

    Source: Incropera, Fundamentals of Heat and Mass Transfer, semi-infinite solid (published).
    """
    rule = "semi-infinite solid"
    within("depth", depth_m, low=0.0, high=1e3, unit="m", rule=rule)
    within("time", seconds, low=0.0, high=1e9, unit="s", rule=rule)
    within("diffusivity", alpha_m2_s, low=1e-9, high=1e-3, unit="m2/s", rule=rule)
    if seconds == 0.0:
        return surface_c if depth_m == 0.0 else start_c
    reach = math.erfc(depth_m / (2 * math.sqrt(alpha_m2_s * seconds)))
    return start_c + (surface_c - start_c) * reach


def solid_uptake_j_m2_k(seconds: float, *, k_w_m_k: float, alpha_m2_s: float) -> float:
    """Heat into a square metre of one deep solid for each kelvin: 2 k sqrt(t/(pi alpha)), J/m2 K.

    ``seconds`` 0 to 86400 s, ``k_w_m_k`` 0.1 to 100 W/m K, ``alpha_m2_s`` 1e-9 to 1e-3 m2/s;
    otherwise raises OutOfRange.

    >>> each = solid_uptake_j_m2_k(300.0, k_w_m_k=0.207, alpha_m2_s=1.02e-7)
    >>> round(2.0 * 31.8 * each / 1e6, 3)
    0.806

    Source: Incropera, semi-infinite solid, constant surface temperature (published).
    """
    rule = "semi-infinite solid"
    within("time", seconds, low=0.0, high=86_400.0, unit="s", rule=rule)
    within("conductivity", k_w_m_k, low=0.1, high=100.0, unit="W/m K", rule=rule)
    within("diffusivity", alpha_m2_s, low=1e-9, high=1e-3, unit="m2/s", rule=rule)
    return 2 * k_w_m_k * math.sqrt(seconds / (math.pi * alpha_m2_s))


def skin_uptake_j_m2_k(seconds: float, *, layers: Layers = SKIN_OVER_FAT) -> float:
    """Heat through a square metre of skin over fat for each kelvin the water is warmer, in J/m2 K.

    Q = 2 e sqrt(t/pi) [1 + 2 sum_n b^n (exp(-z^2) - sqrt(pi) z erfc z)], z = n L/sqrt(alpha t),
    b = (e_fat - e_skin)/(e_fat + e_skin): the wave in the skin and its echoes from the fat.
    ``seconds`` 0 to 86400 s; otherwise raises OutOfRange.

    >>> round(2.0 * 31.8 * skin_uptake_j_m2_k(300.0) / 1e6, 2)
    1.19

    Source: Carslaw and Jaeger, composite solids by images (from memory); its limits are checked
    against the single solid (published).
    """
    within("time", seconds, low=0.0, high=86_400.0, unit="s", rule="skin over fat")
    if seconds == 0.0:
        return 0.0
    e1, e2 = layers.skin_effusivity, layers.fat_effusivity
    b = (e2 - e1) / (e2 + e1)
    echoes, n = 0.0, 1
    step = layers.skin_m / math.sqrt(layers.skin_m2_s * seconds)
    while n * step < 6.0 and abs(b) ** n > 1e-12:  # past that an echo is nothing
        z = n * step
        echoes += b**n * (math.exp(-z * z) - math.sqrt(math.pi) * z * math.erfc(z))
        n += 1
    return 2 * e1 * math.sqrt(seconds / math.pi) * (1 + 2 * echoes)
