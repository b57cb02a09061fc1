"""How hot and how long, by coat, season and method: the published ranges, never one number.

The sources conflict. One trial calls 60 degC for 4 min over-scalded under the microscope; another
needed 5.5 to 7.5 min there, and 9 for autumn hair. The band is therefore advice with its sources
beside it: hair slipping decides, not the thermometer and not the clock.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.measures import celsius
from stations.trade.sources import PRACTICE, Source, Trust
from stations.trade.vessels import Method

FB_2265 = Source(title="USDA Farmers' Bulletin 2265, 1978", place="Scalding", trust=Trust.PUBLISHED)
MEAT_SCIENCE_1993 = Source(
    title="The effect of scalding on subcutaneous and ham temperatures, Meat Science 1993",
    place="abstract",
    trust=Trust.PUBLISHED,
)
JAS_1975 = Source(
    title="J. Anim. Sci. 41(5):1291-1297, 1975", place="abstract", trust=Trust.PUBLISHED
)
TEACHING_TEXT = Source(
    title="ICAR/IASRI e-course, 2011", place="page 131347", trust=Trust.PUBLISHED
)
STEAM_TUNNEL = Source(title="ICAR/IASRI e-course", place="page 63594", trust=Trust.PUBLISHED)
VAT_INDUSTRY = Source(
    title="Scalding, Dehairing, Singeing, Polishing (Pigs)",
    place="quoted abstract",
    trust=Trust.PUBLISHED,
)


class Coat(StrEnum):
    """How hard the hair holds. Red and dark coats hold harder (common practice, no source)."""

    EASY = "easy"
    ORDINARY = "ordinary"
    HARD = "hard"


class Season(StrEnum):
    """When: the winter coat starting in autumn is the hard-hair season (Farmers' Bulletin 2265)."""

    SPRING = "spring"
    SUMMER = "summer"
    AUTUMN = "autumn"
    WINTER = "winter"


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRange:
    """One source's water temperature (degC) and time (s, None where it gives none)."""

    what: str
    low_c: float
    high_c: float
    low_s: float | None
    high_s: float | None
    source: Source


def _f(low: float, high: float) -> dict[str, float]:
    return {"low_c": celsius(fahrenheit=low), "high_c": celsius(fahrenheit=high)}


PUBLISHED_RANGES = (
    PublishedRange(
        what="optimum, slow scald", **_f(140, 145), low_s=180.0, high_s=360.0, source=FB_2265
    ),
    PublishedRange(what="hard hair", **_f(146, 150), low_s=None, high_s=None, source=FB_2265),
    PublishedRange(
        what="start, since a barrel cools quickly",
        **_f(155, 160),
        low_s=None,
        high_s=None,
        source=FB_2265,
    ),
    PublishedRange(
        what="teaching text", low_c=60, high_c=64, low_s=240, high_s=300, source=TEACHING_TEXT
    ),
    PublishedRange(
        what="vat, industry", low_c=58, high_c=62, low_s=240, high_s=360, source=VAT_INDUSTRY
    ),
    PublishedRange(
        what="satisfactory", low_c=60, high_c=60, low_s=330, high_s=450, source=MEAT_SCIENCE_1993
    ),
    PublishedRange(
        what="autumn hair", low_c=60, high_c=60, low_s=540, high_s=540, source=MEAT_SCIENCE_1993
    ),
    PublishedRange(what="trial grid", low_c=56, high_c=60, low_s=120, high_s=480, source=JAS_1975),
    PublishedRange(
        what="steam tunnel", low_c=62, high_c=64, low_s=360, high_s=360, source=STEAM_TUNNEL
    ),
)
DETRIMENTAL_C, DETRIMENTAL_S = 58.0, 360.0
"""Above 58 degC for more than 6 min was generally detrimental to the skin (J. Anim. Sci. 1975)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldBand:
    """Where the water should be through the dip (degC), for how long (s), and where to strike.

    ``strike_low_c`` and ``strike_high_c`` are a published start for the method, or None when the
    strike is worked out from the vessel and the hog.
    """

    floor_c: float
    target_c: float
    ceiling_c: float
    soak_low_s: float
    soak_high_s: float
    strike_low_c: float | None
    strike_high_c: float | None
    source: Source
    note: str

    def __post_init__(self) -> None:
        within("floor", self.floor_c, low=50.0, high=self.target_c, unit="degC", rule="band")
        within("ceiling", self.ceiling_c, low=self.target_c, high=75.0, unit="degC", rule="band")
        within("soak", self.soak_low_s, low=60.0, high=self.soak_high_s, unit="s", rule="band")

    @property
    def middle_s(self) -> float:
        """Half of the middle soak: when the water should stand at the target."""
        return (self.soak_low_s + self.soak_high_s) / 4

    def holds(self, water_c: float) -> bool:
        """Whether the water is in the band."""
        return self.floor_c <= water_c <= self.ceiling_c


_HARDER = {Coat.EASY: Coat.ORDINARY, Coat.ORDINARY: Coat.HARD, Coat.HARD: Coat.HARD}
_BANDS: dict[Coat, tuple[tuple[float, float, float], tuple[float, float], Source, str]] = {
    Coat.EASY: (
        (140, 142, 145),
        (180, 360),
        FB_2265,
        "Slow scald, 140 to 145 F for 3 to 6 min.",
    ),
    Coat.ORDINARY: (
        (140, 143, 147),
        (240, 450),
        FB_2265,
        "140 to 145 F; 4 to 7.5 min covers the teaching texts and the 1993 trial at 60 C.",
    ),
    Coat.HARD: (
        (146, 148, 150),
        (240, 540),
        FB_2265,
        "146 to 150 F or a longer soak; autumn hair needed 9 min at 60 C in the 1993 trial.",
    ),
}


def band_for(*, coat: Coat, season: Season, method: Method) -> ScaldBand:
    """The band to aim for: the coat's, one step harder in autumn; the method sets the strike.

    A tipped barrel or poured water starts at 155 to 160 F (it cools quickly, keep the hog moving);
    an open trough's strike is worked out by ``scald.strike_temperature_c``. Raises nothing.

    >>> band = band_for(coat=Coat.ORDINARY, season=Season.SPRING, method=Method.OPEN_TROUGH)
    >>> round(band.floor_c, 1), round(band.ceiling_c, 1), band.soak_high_s
    (60.0, 63.9, 450)
    >>> band_for(coat=Coat.ORDINARY, season=Season.AUTUMN, method=Method.OPEN_TROUGH).soak_high_s
    540

    Source: Farmers' Bulletin 2265 (published); which coat is easy or hard is common practice.
    """
    hardness = _HARDER[coat] if season is Season.AUTUMN else coat
    (low, target, high), (low_s, high_s), source, note = _BANDS[hardness]
    quick = method is not Method.OPEN_TROUGH
    return ScaldBand(
        floor_c=celsius(fahrenheit=low),
        target_c=celsius(fahrenheit=target),
        ceiling_c=celsius(fahrenheit=high),
        soak_low_s=low_s,
        soak_high_s=high_s,
        strike_low_c=celsius(fahrenheit=155) if quick else None,
        strike_high_c=celsius(fahrenheit=160) if quick else None,
        source=source,
        note=note,
    )


def falling_band(*, coat: Coat = Coat.HARD, season: Season = Season.WINTER) -> ScaldBand:
    """The trade's falling scald: struck at 157 to 159 F, let down towards a floor of 145 F.

    For a lead who strikes hot and lets the hog pull the water down, moving it all the while. The
    start lies in the published 155 to 160 F; the floor and the path are common practice, so this
    band never decides alone. How long is the coat's own, one step harder in autumn. Raises nothing.

    >>> round(falling_band().floor_c, 1), falling_band().source.trust.may_decide
    (62.8, False)
    >>> [falling_band(coat=coat).soak_high_s for coat in Coat]
    [360, 450, 540]

    Source: common practice, no source; start Farmers' Bulletin 2265 (published).
    """
    soak_low_s, soak_high_s = _BANDS[_HARDER[coat] if season is Season.AUTUMN else coat][1]
    return ScaldBand(
        floor_c=celsius(fahrenheit=145),
        target_c=celsius(fahrenheit=150),
        ceiling_c=celsius(fahrenheit=160),
        soak_low_s=soak_low_s,
        soak_high_s=soak_high_s,
        strike_low_c=celsius(fahrenheit=157),
        strike_high_c=celsius(fahrenheit=159),
        source=PRACTICE,
        note="Keep the hog moving and pull it out several times; hotter than a slow scald.",
    )


def published_span_c() -> tuple[float, float]:
    """The coolest and hottest water any of the published ranges names, in degC.

    >>> low, high = published_span_c()
    >>> round(low, 1), round(high, 1)
    (56, 71.1)

    Source: ``PUBLISHED_RANGES``.
    """
    return min(r.low_c for r in PUBLISHED_RANGES), max(r.high_c for r in PUBLISHED_RANGES)
