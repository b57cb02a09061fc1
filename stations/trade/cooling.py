"""Cooling cooked food: two stages, and the older stabilisation options for meat.

The clock of a stage starts when it is said to start (by default the last reading of the opening
stretch that is still hot) and stops at the first reading after which none is warmer. A log that
begins already cool cannot show its first stage; it stays open.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.findings import WHO_DECIDES, Finding, Rule, Sense
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

FOOD_CODE = Source(title="FDA Food Code 3-501.14", place="WAC 246-215-03515", trust=Trust.PUBLISHED)
OPTION_1 = Source(
    title="FSIS Appendix B, 1999", place="option 1, by quotation", trust=Trust.PUBLISHED
)
OPTION_2 = Source(
    title="FSIS Appendix B, 1999", place="option 2, by extension pages", trust=Trust.PUBLISHED
)
OPTION_3 = Source(
    title="FSIS Appendix B, 1999",
    place="option 3, cured; 40 F by an extension page, 45 F from memory: the stricter is used",
    trust=Trust.PUBLISHED,
)
FAILED = (
    "These rules give no way to pass a late batch: hold it apart, do not serve it. A consumer "
    "statement (USDA/FSIS, 2016) has food discarded after 2 h between 40 and 140 F. " + WHO_DECIDES
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """From one printed temperature down to another, degF, in at most so many hours."""

    from_f: int
    to_f: int
    limit_h: float


class Cooling(StrEnum):
    """Which published way of cooling is kept."""

    TWO_STAGE = "two_stage"
    FROM_AMBIENT = "from_ambient"
    STABILISE_ANY = "stabilise_any"
    STABILISE_SLOW = "stabilise_slow"
    STABILISE_CURED = "stabilise_cured"

    @property
    def words(self) -> str:
        """What the screen says."""
        return {
            Cooling.TWO_STAGE: "two-stage cooling",
            Cooling.FROM_AMBIENT: "made from food at room temperature",
            Cooling.STABILISE_ANY: "stabilisation, any meat",
            Cooling.STABILISE_SLOW: "stabilisation, slow, started within 90 min",
            Cooling.STABILISE_CURED: "stabilisation, cured with nitrite",
        }[self]

    @property
    def stages(self) -> tuple[Stage, ...]:
        """What must be reached by when. Food Code stages both count from 135 F."""
        return _STAGES[self][0]

    @property
    def source(self) -> Source:
        """Where the stages were read."""
        return _STAGES[self][1]


_STAGES: dict[Cooling, tuple[tuple[Stage, ...], Source]] = {
    Cooling.TWO_STAGE: (
        (Stage(from_f=135, to_f=70, limit_h=2), Stage(from_f=135, to_f=41, limit_h=6)),
        FOOD_CODE,
    ),
    Cooling.FROM_AMBIENT: ((Stage(from_f=212, to_f=41, limit_h=4),), FOOD_CODE),
    Cooling.STABILISE_ANY: (
        (Stage(from_f=130, to_f=80, limit_h=1.5), Stage(from_f=80, to_f=40, limit_h=5)),
        OPTION_1,
    ),
    Cooling.STABILISE_SLOW: (
        # "should be" in the text; kept as a limit, which is the stricter reading
        (Stage(from_f=120, to_f=80, limit_h=1), Stage(from_f=120, to_f=55, limit_h=6)),
        OPTION_2,
    ),
    Cooling.STABILISE_CURED: (
        (Stage(from_f=130, to_f=80, limit_h=5), Stage(from_f=80, to_f=40, limit_h=10)),
        OPTION_3,
    ),
}


def cooling_starts_s(way: Cooling, log: TemperatureLog) -> float | None:
    """When a log shows that the first stage began: its last hot reading; None if it never was hot.

    For food made from room-temperature ingredients it is the first reading. Raises nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> cooling_starts_s(Cooling.TWO_STAGE, log_of((0.0, 90.0), (1200.0, 60.0), (1500.0, 55.0)))
    1200.0

    Source: none needed.
    """
    if way is Cooling.FROM_AMBIENT:
        return log.first.at_s
    return log.hot_until_s(celsius(fahrenheit=way.stages[0].from_f))


def cooling_findings(
    way: Cooling, log: TemperatureLog, *, started_s: float | None = None
) -> tuple[Finding, ...]:
    """Each stage of a way of cooling against its hours, from the log as it stands.

    A stage that starts below the one before starts when that one ended. While a stage has not
    ended, the latest reading's time counts: it stays open, and turns outside when the hours pass.

    Args:
        way: which rule.
        log: readings at the warmest place.
        started_s: when the food left its hot temperature; by default as
            :func:`cooling_starts_s`. Give it where it was seen apart from the probe.

    Returns: one finding a stage, in h.

    Raises: OutOfRange for a start after the last reading.

    >>> from stations.trade.temperature_log import log_of
    >>> pot = log_of((0.0, 60.0), (6000.0, 22.0), (7000.0, 20.0), (20000.0, 4.9))
    >>> [(one.standing.value, round(one.value, 2)) for one in cooling_findings(
    ...     Cooling.TWO_STAGE, pot)]
    [('within', 1.94), ('within', 5.56)]
    >>> cool = log_of((0.0, 40.0), (4000.0, 20.0))
    >>> [one.standing.value for one in cooling_findings(Cooling.TWO_STAGE, cool)]
    ['open', 'open']

    Source: ``Cooling.source``.
    """
    start = cooling_starts_s(way, log) if started_s is None else started_s
    seen = start is not None
    begun = log.first.at_s if start is None else start
    within("start of cooling", begun, low=0.0, high=log.last.at_s, unit="s", rule="cooling log")
    findings = []
    top_f, ended = way.stages[0].from_f, begun
    for stage in way.stages:
        since = begun if stage.from_f == top_f else ended
        reached = log.stays_at_or_below_from_s(celsius(fahrenheit=stage.to_f))
        ended = log.last.at_s if reached is None else max(reached, since)
        rule = Rule(
            name=f"{way.words}: time to {stage.to_f} F",
            limit=stage.limit_h,
            sense=Sense.AT_MOST,
            unit="h",
            source=way.source,
            remedy=FAILED if (ended - since) / 3600 > stage.limit_h else _watch(stage, seen=seen),
        )
        running = reached is None or not seen
        findings.append(rule.held_against((ended - since) / 3600, still_running=running))
    return tuple(findings)


def _watch(stage: Stage, *, seen: bool) -> str:
    if not seen:
        return f"The log does not show it at {stage.from_f} F: enter when cooling began"
    return f"Not yet at {stage.to_f} F: shallow pans, ice, stir; read again"


RAPID_LAYER_M = 2 * 0.0254
RAPID_INTACT_M = 4 * 0.0254
_RAPID_AIR = Rule(
    name="rapid cooling: air around it",
    limit=celsius(fahrenheit=41),
    sense=Sense.AT_MOST,
    unit="degC",
    source=FOOD_CODE,
    remedy="Air at 41 F or below, uncovered",
)


def rapid_findings(*, thick_m: float, intact: bool, air_c: float) -> tuple[Finding, ...]:
    """The shallow way: at most 2 in of food or 4 in of intact meat, uncovered, air at most 41 F.

    Args:
        thick_m: 0.001 to 0.5 m.
        intact: whether it is one piece of meat.
        air_c: -40 to 45 degC.

    Returns: thickness, then air.

    Raises: OutOfRange.

    >>> [one.standing.value for one in rapid_findings(thick_m=0.06, intact=False, air_c=4.0)]
    ['outside', 'within']

    Source: ``FOOD_CODE`` (Washington's text).
    """
    within("thickness", thick_m, low=0.001, high=0.5, unit="m", rule="rapid cooling")
    within("air", air_c, low=-40.0, high=45.0, unit="degC", rule="rapid cooling")
    deep = Rule(
        name="rapid cooling: thickness",
        limit=(RAPID_INTACT_M if intact else RAPID_LAYER_M) * 100,
        sense=Sense.AT_MOST,
        unit="cm",
        source=FOOD_CODE,
        remedy="Spread it thinner, or keep a log of the two stages",
    )
    return deep.held_against(thick_m * 100), _RAPID_AIR.held_against(air_c)
