"""The alarms of the live day: what is past its limit now, who is on it, and who has seen it.

They are worked out afresh at every look, from the posted sheet, the marks and the dips, so that
none is missed while no worker runs. A row keeps that an alarm rose, when it ended, and who
acknowledged it; the worker writes those rows every few seconds and tells the open pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.db import transaction

from scheduling import clocking
from scheduling.clocking import Times
from scheduling.lateness import Phase, Standing, standings
from scheduling.models import Alarm, AlarmKind, RunSheet, Step
from stations.dipping import Hand
from stations.models import (
    ChillPlan,
    ChillReading,
    Dip,
    EntryKind,
    ProbedPart,
    StageGap,
    Trough,
)
from stations.outdoors import verdicts_at
from stations.scenes import Scene, clock, set_scene
from stations.trade import alarms as rules
from stations.trade.alarms import Raised
from stations.trade.errors import OutOfRange
from stations.trade.scald import LONGEST_DIP_S
from stations.wording import measured
from workshops.models import Topic, Workshop
from workshops.pulse import beat
from workshops.quantities import TEMPERATURE

GUT_STAGE = "eviscerate"
"""The stage that opens the belly, by the key that courses give it."""
NOBODY = "whoever is nearest"
SOON = timedelta(minutes=10)
"""How long before a heavy duty the rest is looked at (a judgement, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ringing:
    """One alarm as it stands: what is wrong, what to do, who is on it, who has seen it."""

    key: str
    kind: rules.AlarmKind
    what: str
    to_do: str
    who: str
    source: str
    """What the limit rests on."""
    past: float = 0.0
    """How far the value is past the limit, in the rule's unit."""
    seen_by: str = ""
    seen_at: datetime | None = None

    @property
    def is_seen(self) -> bool:
        """Whether somebody has acknowledged it."""
        return self.seen_at is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveDay:
    """What alarms are worked out from: today's posted sheet, the marks, the hogs in the water."""

    workshop: Workshop
    sheet: RunSheet | None
    times: Mapping[str, Times]
    scenes: tuple[Scene, ...]
    now: datetime

    @property
    def steps(self) -> list[Step]:
        """The posted steps of today."""
        return list(self.sheet.steps.all()) if self.sheet else []

    @property
    def standings(self) -> dict[str, Standing]:
        """How each stands."""
        return standings(self.steps, self.times, now=self.now)


def live_day(workshop: Workshop, *, now: datetime, sheet: RunSheet | None = None) -> LiveDay:
    """Today's posted sheet (read unless it is given) and its marks."""
    today = now.astimezone(workshop.zone).date()
    if sheet is None:
        rows = RunSheet.objects.posted().with_steps()
        sheet = rows.filter(day__workshop=workshop, day__date=today).first()
    if sheet is not None and sheet.day.date != today:
        sheet = None
    times = clocking.times_of(sheet.day) if sheet else {}
    dips = Dip.objects.in_water().with_all().filter(workshop=workshop)
    scenes = tuple(set_scene(dip, now=now) for dip in dips)
    return LiveDay(workshop=workshop, sheet=sheet, times=times, scenes=scenes, now=now)


def ringing(day: LiveDay) -> list[Ringing]:
    """Every alarm that stands now, the most urgent first, with who has seen it."""
    found = [
        *_at_the_trough(day),
        *_waiting(day),
        *_unchilled(day),
        *_unrested(day),
        *_weather(day),
    ]
    rows = Alarm.objects.filter(workshop=day.workshop, key__in=[one.key for one in found])
    seen = {
        row.key: row
        for row in rows.exclude(acknowledged_at=None).select_related(
            "by_user", "by_enrolment__attendee"
        )
    }
    return _by_urgency(_with_who_saw(one, seen.get(one.key)) for one in found)


def _with_who_saw(one: Ringing, row: Alarm | None) -> Ringing:
    if row is None:
        return one
    return replace(one, seen_by=row.acknowledged_by, seen_at=row.acknowledged_at)


def _ringing(key: str, raised: Raised, *, what: str, who: str) -> Ringing:
    return Ringing(
        key=key,
        kind=raised.kind,
        what=what,
        to_do=f"{raised.to_do}.",
        who=who,
        source=str(raised.source),
        past=raised.value - raised.limit,
    )


def standing(workshop: Workshop) -> list[Ringing]:
    """What the worker last wrote down as ringing: one query, for pages that are fetched at each
    press. Such a page says by itself what is wrong with its own dip.
    """
    rows = Alarm.objects.filter(workshop=workshop, over_at=None)
    told = [
        Ringing(
            key=row.key,
            kind=rules.AlarmKind(row.kind),
            what=row.what,
            to_do=row.to_do,
            who=row.who,
            source=row.source,
            seen_by=row.acknowledged_by,
            seen_at=row.acknowledged_at,
        )
        for row in rows.select_related("by_user", "by_enrolment__attendee")
    ]
    return _by_urgency(told)


def _by_urgency(told: Iterable[Ringing]) -> list[Ringing]:
    return sorted(told, key=lambda one: (one.is_seen, one.kind.rank, one.key))


# --- the rules, each with its words --------------------------------------------------------------
def _at_the_trough(day: LiveDay) -> Iterator[Ringing]:
    for scene in day.scenes:
        dip = scene.dip
        who = _crew(step for step in day.steps if step.animal_id == dip.animal_id
                    and step.station_id == dip.station_id)  # fmt: skip
        in_s = dip.seconds_at(day.now)
        longest_s = scene.band.soak_high_s
        try:
            low = rules.water_low(
                water_c=scene.water_c, floor_c=dip.floor_c, source=scene.band.source
            )
        except OutOfRange:  # no estimate of water like that is acted upon
            low = None
        if low and in_s <= LONGEST_DIP_S:
            # Poured since: still too cold is a new alarm, though the last one was acknowledged.
            pours = len(dip.of_kind(EntryKind.POUR))
            words = f"{dip.animal}: water about {scene.shown(low.value)}, floor "
            yield _ringing(
                f"water:dip{dip.pk}:{pours}",
                low,
                what=f"{words}{scene.shown(low.limit)}",
                who=who,
            )
        long = rules.dip_long(
            dip_s=min(in_s, 60.0 * rules.LONGEST_WAIT_MIN),
            longest_s=longest_s,
            source=scene.band.source,
        )
        if long:
            words = f"{dip.animal} is {clock(in_s)} in the water; longest published soak "
            yield _ringing(f"long:dip{dip.pk}", long, what=f"{words}{clock(longest_s)}", who=who)


def _waiting(day: LiveDay) -> Iterator[Ringing]:
    """Of each hog's step to come the wait that is furthest past its limit."""
    if day.sheet is None:
        return
    gaps = StageGap.objects.filter(before__workshop=day.workshop, most_min__isnull=False)
    limits = list(gaps.values_list("before_id", "after_id", "most_min"))
    standing = day.standings
    steps = {(step.stage_id, step.animal_id): step for step in day.steps}
    worst: dict[str, Ringing] = {}
    for before_id, after_id, most in limits:
        for after in day.steps:
            before = steps.get((before_id, after.animal_id))
            if after.stage_id != after_id or after.animal_id is None or before is None:
                continue
            found = _wait(day, standing, before, after, float(most or 0))
            kept = worst.get(after.code)
            if found and (kept is None or found.past > kept.past):
                worst[after.code] = found
    yield from worst.values()


def _wait(
    day: LiveDay, standing: Mapping[str, Standing], before: Step, after: Step, most_min: float
) -> Ringing | None:
    ended = day.times.get(before.code, Times()).finished
    waits = standing[after.code].phase in {Phase.WAITING, Phase.DUE}
    if ended is None or not waits:
        return None
    waited = (day.now - ended).total_seconds() / 60
    if not 0 <= waited <= rules.LONGEST_WAIT_MIN:
        return None
    opens = after.stage.key == GUT_STAGE
    raised = rules.waiting(waited_min=waited, most_min=most_min, opens_the_belly=opens)
    if raised is None:
        return None
    said = f"{waited:.0f} min after {before.stage.name}; at most {most_min:.0f}"
    words = f"{after.animal}: belly not open {said}" if opens else f"{after} not begun {said}"
    return _ringing(f"wait:{after.code}", raised, what=words, who=_crew([after]))


def _unchilled(day: LiveDay) -> Iterator[Ringing]:
    """Carcasses whose ham is not known to be cold a day after the kill, for two days more."""
    since = day.now - timedelta(minutes=rules.LONGEST_WAIT_MIN)
    plans = ChillPlan.objects.filter(animal__workshop=day.workshop, killed_at__gte=since)
    plans = plans.filter(killed_at__lte=day.now).select_related("animal__workshop")
    probed = ChillReading.objects.standing().filter(part=ProbedPart.HAM)
    newest = dict(
        probed.filter(animal__workshop=day.workshop)
        .order_by("at", "pk")
        .values_list("animal_id", "temp_c")
    )
    for plan in plans:
        ham_c = newest.get(plan.animal_id)
        if ham_c is not None and not -40 <= ham_c <= 45:
            ham_c = None  # no ham is that warm or cold: read it again
        since_kill_s = (day.now - plan.killed_at).total_seconds()
        raised = rules.not_chilled(since_kill_s=since_kill_s, ham_c=ham_c)
        if raised:
            units = day.workshop.units
            ham = TEMPERATURE.shown(ham_c, units, decimals=1) if ham_c is not None else "not read"
            words = f"{plan.animal}: {raised.value:.0f} h after the kill, middle of the ham {ham}"
            yield _ringing(f"chill:{plan.animal_id}", raised, what=words, who="the lead")


def _unrested(day: LiveDay) -> Iterator[Ringing]:
    """Those whose last heavy duty ended later than planned, so that the next comes too soon."""
    standing = day.standings
    heavy = [(step, row) for step in day.steps for row in step.placements.all() if row.duty.heavy]
    needed = float(min(240, day.workshop.rest_after_heavy_min))
    for step, row in heavy:
        mine = standing[step.code]
        begins = day.times.get(step.code, Times()).started or max(step.starts_at, day.now)
        is_near = mine.phase == Phase.RUNNING or step.starts_at <= day.now + SOON
        if not is_near or mine.phase in {Phase.OVER, Phase.PASSED}:
            continue
        ends = [
            standing[other.code].ends_at
            for other, theirs in heavy
            if theirs.person_key == row.person_key and other.starts_at < step.starts_at
        ]
        if not ends:
            continue
        rested = max(0.0, (begins - max(ends)).total_seconds() / 60)
        raised = rules.rest_missed(rested_min=min(rested, 4320.0), needed_min=needed)
        if raised:
            yield _ringing(
                f"rest:{row.person_key}:{step.code}",
                raised,
                what=f"{row.person_name}: {rested:.0f} min of rest before {row.title}, {step}; "
                f"{needed:.0f} are needed",
                who="the lead",
            )


def _weather(day: LiveDay) -> Iterator[Ringing]:
    """Once a day: the weather is typed, not measured."""
    if day.sheet is None:
        return
    troughs = Trough.objects.filter(station__workshop=day.workshop).select_related("station")
    trough = troughs.order_by("station__order").first()
    cold, heat = verdicts_at(trough) if trough else (None, None)
    for kind, verdict in ((rules.AlarmKind.COLD, cold), (rules.AlarmKind.HEAT, heat)):
        raised = rules.weather_past(kind=kind, verdict=verdict) if verdict else None
        if raised:
            value = measured(raised.value, raised.unit, day.workshop.units)
            yield _ringing(
                f"{kind.value}:{day.sheet.day.date}",
                raised,
                what=f"{AlarmKind(kind.value).label.capitalize()}: {value}, as typed for the day",
                who="everyone outdoors; the lead decides",
            )


def _crew(steps: Iterable[Step]) -> str:
    names = dict.fromkeys(row.person_name for step in steps for row in step.placements.all())
    return ", ".join(names) or NOBODY


# --- what is kept of them -----------------------------------------------------------------------
def note(workshop: Workshop, *, now: datetime) -> list[Ringing]:
    """Write down what has risen and what is over, and tell the open pages if anything did."""
    found = ringing(live_day(workshop, now=now))
    open_rows = {row.key: row.pk for row in Alarm.objects.filter(workshop=workshop, over_at=None)}
    keys = {one.key for one in found}
    risen = [one for one in found if one.key not in open_rows]
    over = [pk for key, pk in open_rows.items() if key not in keys]
    if risen or over:
        # The write lock is held for these few rows, not while the dips are worked out.
        with transaction.atomic():
            for one in risen:
                _row(workshop, one, now=now)
            Alarm.objects.filter(pk__in=over).update(over_at=now)
            beat(workshop.pk, Topic.ALARM)
    return found


def _row(workshop: Workshop, one: Ringing, *, now: datetime) -> Alarm:
    """The alarm's row; two who look at once make one, and what came again is open again."""
    row, is_new = Alarm.objects.get_or_create(
        workshop=workshop,
        key=one.key,
        defaults={
            "kind": one.kind.value,
            "what": one.what[:300],
            "to_do": one.to_do[:400],
            "who": one.who[:300],
            "source": one.source[:300],
            "raised_at": now,
        },
    )
    if not is_new and row.over_at is not None:
        Alarm.objects.filter(pk=row.pk).update(over_at=None)
    return row


@transaction.atomic
def acknowledge(workshop: Workshop, key: str, *, by: Hand, now: datetime) -> Alarm | None:
    """Somebody has seen it and is on it. The first who says so counts; None if it never rang."""
    row = Alarm.objects.filter(workshop=workshop, key=key).first()
    if row is None:
        one = next((o for o in ringing(live_day(workshop, now=now)) if o.key == key), None)
        if one is None:
            return None
        row = _row(workshop, one, now=now)
    unseen = Alarm.objects.filter(pk=row.pk, acknowledged_at=None)
    if unseen.update(acknowledged_at=now, by_user=by.user, by_enrolment=by.enrolment):
        beat(workshop.pk, Topic.ALARM)
    row.refresh_from_db()
    return row


def note_all(*, now: datetime) -> None:
    """The same for every workshop that has a day today, or a hog in the water."""
    today = now.date()
    near = (today - timedelta(days=1), today + timedelta(days=1))
    live = Workshop.objects.filter(
        days__date__range=near, days__run_sheets__status="posted"
    ) | Workshop.objects.filter(dips__in=Dip.objects.in_water())
    for workshop in live.distinct():
        note(workshop, now=now)
