"""What the page of a kept batch says: what to weigh, what went in, what comes when."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta

from stations.judged import Judged, all_judged, judged
from stations.models import CureAct, CureBatch, CuredProduct, CureEntry
from stations.trade.cure_limits import Cured
from stations.trade.cure_times import rubbing, soak_minutes
from stations.trade.cures import Cure
from stations.trade.curing import Batch, judged_dry
from stations.trade.errors import OutOfRange
from stations.trade.pickles import Pickle, PicklePlan, judged_even, judged_taken, pick_up_finding
from stations.trade.sources import Source, Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """Something to do on a date, and whether it was written down as done."""

    on: date
    words: str
    source: str
    is_done: bool = False
    is_due: bool = False

    @property
    def state(self) -> str:
        """Done, due, or to come."""
        if self.is_done:
            return "done"
        return "due" if self.is_due else "to come"


@dataclass(frozen=True, slots=True, kw_only=True)
class CureSheet:
    """One batch as of a day."""

    batch: CureBatch
    planned: tuple[Judged, ...]
    weighed: tuple[Judged, ...]
    reminders: tuple[Reminder, ...]
    entries: tuple[CureEntry, ...]
    is_mistake: bool
    is_out: bool

    @property
    def state(self) -> str:
        """In a few words, for a list."""
        if self.is_mistake:
            return "called a mistake"
        if self.is_out:
            return f"out of the cure; evened out by {self.batch.ready_on:%d %b}"
        due = [one for one in self.reminders if one.is_due and not one.is_done]
        if due:
            return f"due: {due[0].words}"
        return f"in the cure until {self.batch.out_on:%d %b}"

    @property
    def due(self) -> tuple[Reminder, ...]:
        """What waits to be done."""
        if self.is_mistake:
            return ()
        return tuple(one for one in self.reminders if one.is_due and not one.is_done)


def sheet_of(batch: CureBatch, *, today: date, units: str) -> CureSheet:
    """The sheet of a batch loaded by ``access.cure_batches``. No query."""
    entries = tuple(batch.entries.all())
    standing = [row for row in entries if row.stands]
    acts = {row.what for row in standing}
    trade = _trade_batch(batch)
    planned = trade.findings(nitrite_ppm=batch.nitrite_ppm, nitrate_ppm=batch.nitrate_ppm)
    return CureSheet(
        batch=batch,
        planned=all_judged(planned, units),
        weighed=_weighed(batch, trade, standing, units),
        reminders=_reminders(batch, standing, today),
        entries=entries,
        is_mistake=CureAct.MISTAKE in acts,
        is_out=CureAct.OUT in acts,
    )


def _trade_batch(batch: CureBatch) -> Batch:
    bag = Source(title=batch.cure_name, place="as printed on the bag", trust=Trust.PUBLISHED)
    return Batch(
        product=Cured(batch.product),
        weighed_kg=batch.weighed_kg,
        skin_on=batch.skin_on,
        cure=Cure(name=batch.cure_name, nitrite=batch.nitrite, nitrate=batch.nitrate, source=bag),
    )


def _weighed(
    batch: CureBatch, trade: Batch, standing: list[CureEntry], units: str
) -> tuple[Judged, ...]:
    """What was really weighed in, and picked up: judged, not refused."""
    lines: list[Judged] = []
    last = {row.what: row for row in standing if row.kg is not None}
    salt = last.get(CureAct.WEIGHED)
    cure_kg = batch.cure_kg if salt is None or salt.kg is None else salt.kg
    if CuredProduct(batch.product).in_pickle:
        plan = _pickle_plan(batch, trade, cure_kg)
        findings = plan.findings
        after = last.get(CureAct.PUMPED)
        if after is not None and after.kg is not None:
            with suppress(OutOfRange):  # a weight that no pump gives is left to be corrected
                lines.append(judged(pick_up_finding(plan, after_kg=after.kg), units))
    else:
        findings = judged_dry(trade, cure_kg=cure_kg).findings
    if salt is not None:
        lines.extend(all_judged(findings, units))
    return tuple(lines)


def _pickle_plan(batch: CureBatch, trade: Batch, cure_kg: float) -> PicklePlan:
    pickle = Pickle(
        water_kg=batch.water_kg,
        salt_kg=batch.salt_kg,
        sugar_kg=batch.sugar_kg,
        cure=trade.cure,
        cure_kg=cure_kg,
    )
    if batch.taken is None:
        return judged_even(trade, pickle)
    return judged_taken(trade, pickle, taken=batch.taken)


def _reminders(batch: CureBatch, standing: list[CureEntry], today: date) -> tuple[Reminder, ...]:
    turned = sum(1 for row in standing if row.what == CureAct.TURNED)
    is_out = any(row.what == CureAct.OUT for row in standing)
    found = [
        Reminder(on=on, words=words, source=source, is_done=number <= turned)
        for number, (on, words, source) in enumerate(_rubs(batch), start=1)
    ]
    soak = soak_minutes(min(200, batch.days))
    found.append(
        Reminder(
            on=batch.out_on,
            words=f"out of the cure; soak {soak} min in water at most 70 F, dry 3 h",
            source="USDA Farmers' Bulletin 2265 (published); days as its rule counts them",
            is_done=is_out,
        )
    )
    if batch.evening_days:
        found.append(
            Reminder(
                on=batch.ready_on,
                words="evened out: not before this day does it count as cured",
                source="former 9 CFR 318.10(c)(3)(iv) (published)",
            )
        )
    return tuple(_as_of(one, today) for one in found)


def _rubs(batch: CureBatch) -> list[tuple[date, str, str]]:
    """The rubs after the first, for dry-cured cuts; none for what lies in a pickle or is minced."""
    if batch.product != CuredProduct.DRY_CUT or not 0.5 <= batch.heaviest_kg <= 25:
        return []
    plan = rubbing(piece_kg=batch.heaviest_kg)
    dates = [
        (
            batch.started_on + timedelta(days=plan.least_days_between * number),
            batch.started_on + timedelta(days=plan.most_days_between * number),
        )
        for number in range(1, plan.rubs)
    ]
    return [
        (least, f"rub {number} of {plan.rubs}, by {most:%d %b}", "MSU Extension P2648 (published)")
        for number, (least, most) in enumerate(dates, start=2)
    ]


def _as_of(one: Reminder, today: date) -> Reminder:
    return Reminder(
        on=one.on,
        words=one.words,
        source=one.source,
        is_done=one.is_done,
        is_due=one.on <= today and not one.is_done,
    )
