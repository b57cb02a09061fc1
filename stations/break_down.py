"""What a carcass should give and what was weighed of it: expected, reconciled, kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from stations.models import (
    Becomes,
    CarcassPart,
    CutPlan,
    CutTableName,
    DressedAs,
    Package,
    PackageState,
    WeighIn,
    WeighStage,
)
from stations.recording import complete_kg
from stations.trade import carcass_tables, reconcile, yields
from stations.trade.carcass_tables import CutTable, Part
from stations.trade.errors import OutOfRange
from stations.trade.findings import Standing
from stations.trade.reconcile import Stage, Step, Weights
from stations.trade.yields import Dressed, Expected
from workshops.models import Animal

TABLES: dict[CutTableName, CutTable] = {
    CutTableName.FARM_CUTS: carcass_tables.FARM_CUTS,
    CutTableName.PRIMALS: carcass_tables.PRIMALS,
    CutTableName.CUTS_AS_COUNTED: carcass_tables.CUTS_AS_COUNTED,
    CutTableName.MARKET_PIG: carcass_tables.MARKET_PIG,
    CutTableName.HALF: carcass_tables.HALF,
}
USUALLY: dict[CarcassPart, Becomes] = {
    CarcassPart.HAM: Becomes.CURE,
    CarcassPart.BELLY: Becomes.CURE,
    CarcassPart.JOWL: Becomes.CURE,
    CarcassPart.PICNIC: Becomes.SAUSAGE,
    CarcassPart.SHOULDER: Becomes.SAUSAGE,
    CarcassPart.TRIM: Becomes.SAUSAGE,
    CarcassPart.BACK_FAT: Becomes.LARD,
    CarcassPart.FEET: Becomes.KITCHEN,
    CarcassPart.HEAD: Becomes.KITCHEN,
}
ASIDE_AT = {
    WeighStage.DRESSING_ASIDE: Stage.DRESSING,
    WeighStage.CUTTING_ASIDE: Stage.CUTTING,
}

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part: what it becomes, what the table expects (kg), what was weighed."""

    part: CarcassPart
    becomes: Becomes
    expected: Expected | None
    weighed_kg: float | None

    @property
    def comparison(self) -> str:
        """The weighed against the range over the published tables."""
        if self.expected is None or self.weighed_kg is None:
            return ""
        if self.weighed_kg < self.expected.low_kg:
            return "below the published range"
        over = self.weighed_kg > self.expected.high_kg
        return "above the published range" if over else "in the published range"


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """One stage of the way down, kg, and how its unexplained rest stands to what is usual."""

    step: Step

    @property
    def stage(self) -> str:
        """Live to hot, hot to cold, cold to cuts, cuts to packages."""
        return self.step.stage.value

    @property
    def words(self) -> str:
        """What the rest says."""
        return {
            Standing.WITHIN: "as usual",
            Standing.OUTSIDE: "more came out than went in: check the scale and the entries",
            Standing.OPEN: "not as usual: look for a part not weighed, or a different basis",
        }[self.step.standing]


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakDownSheet:
    """One hog from live weight to cuts."""

    animal: Animal
    plan: CutPlan | None
    table: CutTable
    live_kg: float
    live_is_weighed: bool
    hot_kg: float | None
    cold_kg: float | None
    cuts_from: str
    dressed: Dressed
    expected_hot: Expected | None
    expected_cold: Expected | None
    parts: tuple[PartRow, ...]
    stages: tuple[StageRow, ...]
    skinning: yields.Skinning | None
    by_products: Mapping[str, float] = field(default_factory=dict)

    @property
    def kept_low_kg(self) -> float | None:
        """The less of the two reckonings of what skinning would have taken."""
        one = self.skinning
        return None if one is None else min(one.by_points_kg, one.by_a_fifth_kg)

    @property
    def kept_high_kg(self) -> float | None:
        """The more of the two."""
        one = self.skinning
        return None if one is None else max(one.by_points_kg, one.by_a_fifth_kg)

    @property
    def state(self) -> str:
        """In a few words, for a list."""
        cuts = sum(1 for row in self.parts if row.weighed_kg is not None)
        if cuts:
            return f"{cuts} parts weighed"
        if self.cold_kg is not None:
            return "weighed cold"
        return "weighed hot" if self.hot_kg is not None else "not weighed yet"


def sheet_of(animal: Animal, *, table: CutTableName | None = None) -> BreakDownSheet:
    """The sheet of a carcass loaded by ``access.carcasses``; ``table`` tries another. No query."""
    rows = standing(animal.weigh_ins.all())
    plan: CutPlan | None = getattr(animal, "cut_plan", None)
    chosen = table or CutTableName(plan.table if plan else CutTableName.FARM_CUTS)
    live = complete_kg(rows, WeighStage.LIVE)
    live_kg = float(animal.live_kg) if live is None else live
    hot_kg, cold_kg = (complete_kg(rows, stage) for stage in (WeighStage.HOT, WeighStage.COLD))
    if hot_kg is None and animal.carcass_kg is not None:
        hot_kg = float(animal.carcass_kg)
    dressed = dressed_as(rows)
    expected_hot = _unless_refused(lambda: yields.hot_carcass(live_kg, dressed))
    reckoned = hot_kg if hot_kg is not None else expected_hot and expected_hot.likely_kg
    expected_cold = _unless_refused(lambda: yields.cold_carcass(reckoned or 0.0))
    cut_from = cold_kg if cold_kg is not None else expected_cold and expected_cold.likely_kg
    weights = Weights(
        live_kg=live_kg,
        hot_kg=hot_kg,
        cold_kg=cold_kg,
        cuts_kg=cuts_of(rows),
        packages_kg=packages_of(animal.packages.all()),
        aside_kg=asides_of(rows),
        dressed=dressed,
    )
    return BreakDownSheet(
        animal=animal,
        plan=plan,
        table=TABLES[chosen],
        live_kg=live_kg,
        live_is_weighed=live is not None,
        hot_kg=hot_kg,
        cold_kg=cold_kg,
        cuts_from="the cold weight" if cold_kg is not None else "the cold weight expected",
        dressed=dressed,
        expected_hot=expected_hot,
        expected_cold=expected_cold,
        parts=_parts(plan, TABLES[chosen], cut_from or 0.0, cuts_of(rows)),
        stages=tuple(StageRow(step=step) for step in reconcile.reconcile(weights)),
        skinning=_skinning(live_kg, hot_kg, dressed),
        by_products=_unless_refused(lambda: yields.by_products(live_kg)) or {},
    )


def standing(rows: Iterable[WeighIn]) -> list[WeighIn]:
    """The weights that count."""
    return [row for row in rows if row.stands and row.kg is not None]


def dressed_as(rows: list[WeighIn]) -> Dressed:
    """What was on the carcass when it was weighed hot, else cold; not stated until it was."""
    for stage in (WeighStage.HOT, WeighStage.COLD):
        for row in rows:
            if row.stage == stage and row.dressed:
                return Dressed(DressedAs(row.dressed).value)
    return Dressed.UNSTATED


def cuts_of(rows: list[WeighIn]) -> dict[str, float]:
    """Kilograms of each part, its pieces added up."""
    found: dict[str, float] = {}
    for row in rows:
        if row.stage == WeighStage.CUT and row.kg is not None:
            found[row.part] = found.get(row.part, 0.0) + row.kg
    return found


def packages_of(rows: Iterable[Package]) -> dict[str, float]:
    """Kilograms packed, by kind; a package that is missing now was packed all the same."""
    found: dict[str, float] = {}
    for row in rows:
        if row.state != PackageState.MISTAKE:
            found[row.kind] = found.get(row.kind, 0.0) + row.kg
    return found


def asides_of(rows: list[WeighIn]) -> dict[Stage, dict[str, float]]:
    """What was named and weighed but not passed on, by stage."""
    found: dict[Stage, dict[str, float]] = {}
    for row in rows:
        stage = ASIDE_AT.get(WeighStage(row.stage))
        if stage is not None and row.kg is not None:
            at = found.setdefault(stage, {})
            at[row.part] = at.get(row.part, 0.0) + row.kg
    return found


def _parts(
    plan: CutPlan | None, table: CutTable, cold_kg: float, cuts_kg: Mapping[str, float]
) -> tuple[PartRow, ...]:
    expected: Mapping[Part, Expected] = (
        _unless_refused(lambda: yields.cut_plan(cold_kg, table)) or {}
    )
    wanted = {line.part: Becomes(line.becomes) for line in plan.lines.all()} if plan else {}
    listed = [CarcassPart(part.value) for part, _ in table.parts]
    extra = [CarcassPart(part) for part in cuts_kg if CarcassPart(part) not in listed]
    return tuple(
        PartRow(
            part=part,
            becomes=wanted.get(part.value, USUALLY.get(part, Becomes.FRESH)),
            expected=expected.get(Part(part.value)),
            weighed_kg=cuts_kg.get(part.value),
        )
        for part in [*listed, *extra]
    )


def _skinning(live_kg: float, hot_kg: float | None, dressed: Dressed) -> yields.Skinning | None:
    """What the scald kept; nothing to say of a skinned carcass."""
    if hot_kg is None or dressed is Dressed.SKINNED:
        return None
    return _unless_refused(lambda: yields.skinning_loss(live_kg=live_kg, carcass_kg=hot_kg))


def _unless_refused(ask: Callable[[], T]) -> T | None:
    """The answer, or None for a hog outside what the tables cover."""
    try:
        return ask()
    except OutOfRange:
        return None
