"""How a carcass hangs and what it is to be cut into: plans, changed in place by whoever leads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from stations.models import Becomes, ChillMethod, ChillPlan, CutLine, CutPlan, CutTableName
from workshops.models import Animal


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """Killed and hung when, how, and the air: hours after hanging and degC."""

    killed_at: datetime
    hung_at: datetime
    method: ChillMethod
    air: tuple[tuple[float, float], ...]


def hang(animal: Animal, hanging: Hanging) -> ChillPlan:
    """Keep how a carcass hangs; the last of two who type at once stands, whole."""
    plan, _ = ChillPlan.objects.update_or_create(
        animal=animal,
        defaults={
            "killed_at": hanging.killed_at,
            "hung_at": hanging.hung_at,
            "method": hanging.method,
            "air": [list(pair) for pair in hanging.air],
        },
    )
    return plan


def plan_cuts(
    animal: Animal, table: CutTableName, becomes: dict[str, Becomes], *, note: str = ""
) -> CutPlan:
    """Keep what each part of a carcass becomes; parts that the table does not list are dropped."""
    with transaction.atomic():
        plan, _ = CutPlan.objects.update_or_create(
            animal=animal, defaults={"table": table, "note": note}
        )
        plan.lines.all().delete()
        CutLine.objects.bulk_create(
            CutLine(plan=plan, part=part, becomes=what) for part, what in becomes.items()
        )
    return plan
