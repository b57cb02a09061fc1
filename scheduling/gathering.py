"""Rows to planner problems, and back to times: the only translator between the two.

Minutes count from midnight at the farm before the first day, in real (not wall) minutes, so that
a change of the clocks within a course does not shift anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from scheduling import asking, lifting
from scheduling.models import Attendance, Override, Placement, RunSheet, Step, Turnout
from scheduling.planner import problem as planner
from scheduling.planner.rules import is_here, reasons_against
from stations import heating
from stations.models import Duty, HandlingSetup, Stage, StageGap, Station, Subject
from workshops.models import (
    Animal,
    AnimalStatus,
    Day,
    Enrolment,
    Limit,
    StaffMember,
    StaffRole,
    Workshop,
)


@dataclass(frozen=True, slots=True)
class Clock:
    """Moments to whole minutes and back."""

    origin: datetime

    def minute(self, moment: datetime) -> int:
        """Whole minutes since the origin."""
        return int((moment.astimezone(UTC) - self.origin).total_seconds() // 60)

    def moment(self, minute: int) -> datetime:
        """The moment, in UTC."""
        return self.origin + timedelta(minutes=minute)


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """Everything of one workshop that planning reads, fetched once."""

    workshop: Workshop
    clock: Clock
    days: tuple[Day, ...]
    stations: tuple[Station, ...]
    stages: tuple[Stage, ...]
    gaps: tuple[StageGap, ...]
    animals: tuple[Animal, ...]
    enrolments: tuple[Enrolment, ...]
    staff: tuple[StaffMember, ...]
    attendance: dict[tuple[int, int], Attendance]
    handling: dict[int, HandlingSetup]
    overrides: tuple[Override, ...]
    asked: asking.Asked

    @property
    def duties(self) -> dict[int, Duty]:
        """Every duty that some stage needs, by id."""
        return {duty.pk: duty for stage in self.stages for duty in stage.duties.all()}

    def subjects(self, stage: Stage) -> tuple[Animal | None, ...]:
        """The hogs a stage is done to, or one None for a stage done once."""
        return self.animals if stage.subject == Subject.EACH_HOG else (None,)

    def day_of(self, stage: Stage) -> Day | None:
        """The day a stage belongs to; None if the workshop is shorter."""
        return self.days[stage.day_number - 1] if stage.day_number <= len(self.days) else None


def gather(workshop: Workshop) -> Method:
    """Read what planning needs: a fixed number of queries, whatever the numbers."""
    days = tuple(workshop.days.prefetch_related("breaks"))
    for day in days:
        day.workshop = workshop
        for pause in day.breaks.all():
            pause.day = day
    seats = Enrolment.objects.for_workshop(workshop).confirmed().with_people()
    rows = Attendance.objects.filter(day__workshop=workshop).prefetch_related("limits")
    taking_part = [status for status in AnimalStatus if status.takes_part]
    return Method(
        workshop=workshop,
        clock=Clock(days[0].midnight.astimezone(UTC)),
        days=days,
        stations=tuple(workshop.stations.select_related("trough")),
        stages=tuple(
            workshop.stages.filter(retired=False)
            .select_related("station")
            .prefetch_related("duties", "or_at")
        ),
        gaps=tuple(
            StageGap.objects.filter(
                before__workshop=workshop, before__retired=False, after__retired=False
            )
        ),
        animals=tuple(workshop.animals.filter(status__in=taking_part)),
        enrolments=tuple(seats),
        staff=tuple(workshop.staff.all()),
        attendance={(row.day_id, row.enrolment_id): row for row in rows},
        handling=lifting.settings_of(workshop),
        overrides=tuple(Override.objects.filter(day__workshop=workshop)),
        asked=asking.asked(workshop),
    )


# --- people and duties ----------------------------------------------------------------------


def duty_spec(duty: Duty) -> planner.DutySpec:
    """A duty as the planner sees it."""
    return planner.DutySpec(
        id=str(duty.pk),
        name=duty.name,
        least=duty.hands_least,
        most=duty.hands_most,
        places=tuple(duty.place_names),
        across=lifting.ACROSS if duty.holds_chains else (),
        filled_by=planner.FilledBy(duty.filled_by),
        heavy=duty.heavy,
        ruled_out_by=frozenset(planner.Limit(limit) for limit in duty.ruled_out_by),
        knife_floor=duty.knife_floor,
        lift_floor_kg=float(duty.lift_floor_kg),
        core=duty.core,
    )


def people(method: Method, days: Iterable[Day]) -> tuple[planner.PersonSpec, ...]:
    """Attendees and staff with their limits and presence on the given days."""
    chosen = tuple(days)
    attendees = (_attendee(method, seat, chosen) for seat in method.enrolments)
    everyone = (*attendees, *(_member(method, member, chosen) for member in method.staff))
    away = [method.asked.away(day, method.clock) for day in chosen]
    return tuple(
        replace(
            person,
            present=asking.without_absences(
                person.present, (one for gone in away for one in gone.get(person.id, ()))
            ),
        )
        for person in everyone
    )


def _attendee(method: Method, seat: Enrolment, days: tuple[Day, ...]) -> planner.PersonSpec:
    limits = set(seat.limits_on(days[0].date))
    for day in days:
        row = method.attendance.get((day.pk, seat.pk))
        # A limit of one day binds that day's placing; days are placed one at a time then.
        if row and len(days) == 1:
            limits |= {Limit(today.limit) for today in row.limits.all()}
    return planner.PersonSpec(
        id=f"a{seat.pk}",
        name=seat.attendee.given_name,
        household=str(seat.attendee.household_id),
        limits=frozenset(planner.Limit(limit) for limit in limits),
        knife=seat.knife,
        lift_kg=lifting.planning_lift_kg(seat),
        height_cm=seat.attendee.height_cm,
        present=tuple(_presence(method, seat, days)),
    )


def _presence(method: Method, seat: Enrolment, days: tuple[Day, ...]) -> Iterator[planner.Window]:
    for day in days:
        row = method.attendance.get((day.pk, seat.pk))
        if row and not Turnout(row.turnout).can_be_placed:
            continue
        start, end = _whole_day(method, day)
        if seat.arrives_at:
            start = max(start, method.clock.minute(seat.arrives_at))
        if seat.leaves_at:
            end = min(end, method.clock.minute(seat.leaves_at))
        if start < end:
            yield planner.Window(start=start, end=end)


def _member(method: Method, member: StaffMember, days: tuple[Day, ...]) -> planner.PersonSpec:
    whole = (_whole_day(method, day) for day in days)
    is_lead = member.role == StaffRole.LEAD
    return planner.PersonSpec(
        id=f"s{member.pk}",
        name=member.name,
        part=planner.Part.LEAD if is_lead else planner.Part.HELPER,
        knife=3,  # of 3: staff are taken to know the work; a judgement, no source
        present=tuple(planner.Window(start=start, end=end) for start, end in whole),
    )


def _whole_day(method: Method, day: Day) -> tuple[int, int]:
    start = method.clock.minute(day.midnight)
    return start, start + planner.MINUTES_PER_DAY


# --- when -----------------------------------------------------------------------------------


def step_code(stage: Stage, animal: Animal | None) -> str:
    """The same step in every version of the plan."""
    return f"hog{animal.pk}:{stage.key}" if animal else f"once:{stage.key}"


def timetable_problem(
    method: Method, *, pinned: dict[str, int] | None = None
) -> planner.TimetableProblem:
    """The whole course as one timetable: every stage of every hog, every kitchen job."""
    pins = pinned or {}
    hands = _Hands(method)
    steps = [
        _with_kit(method, stage, animal, _step_spec(method, stage, animal, hands, pins))
        for stage in method.stages
        if method.day_of(stage)
        for animal in method.subjects(stage)
    ]
    return planner.TimetableProblem(
        stations=tuple(
            planner.StationSpec(
                id=str(station.pk),
                name=station.name,
                capacity=station.capacity,
                set_up_min=heating.set_up_of(station, method.animals).minutes,
                set_up_between=asking.set_ups(
                    station, method.animals, _steps_at(method, station, steps)
                ),
                windows=asking.hours(station, method.days, method.asked, method.clock),
                track=station.track,
            )
            for station in method.stations
        ),
        pools=(*hands.pools(), *asking.kit_pools(method.asked.kit)),
        steps=tuple(steps),
        gaps=tuple(_gaps(method, {step.id for step in steps})),
        breaks=asking.breaks(method.days, method.clock),
        meals=asking.meals(method.days, method.clock),
        finish_by=method.asked.finish_by(method.days, method.clock),
    )


def _with_kit(
    method: Method, stage: Stage, animal: Animal | None, step: planner.StepSpec
) -> planner.StepSpec:
    """The step with the kit it holds, to the end of the same hog's later stage."""
    last_of = {
        later.pk: step_code(later, animal if later.subject == Subject.EACH_HOG else None)
        for later in method.stages
        if method.day_of(later) and (animal or later.subject == Subject.ONCE)
    }
    held = asking.kit_needs(method.asked.kit, stage, last_of)
    return replace(step, needs=(*step.needs, *held))


def _steps_at(
    method: Method, station: Station, steps: list[planner.StepSpec]
) -> dict[int, list[str]]:
    """The steps that may be at a station, by the id of their hog."""
    return {
        animal.pk: [
            step.id
            for step in steps
            if step.subject == str(animal.pk) and str(station.pk) in step.stations
        ]
        for animal in method.animals
    }


def _step_spec(
    method: Method,
    stage: Stage,
    animal: Animal | None,
    hands: _Hands,
    pins: dict[str, int],
) -> planner.StepSpec:
    day = method.day_of(stage)
    assert day is not None, "stages beyond the last day are left out by the caller"
    opens = max(filter(None, (day.opens, stage.not_before)))
    closes = min(filter(None, (day.closes, stage.done_by)))
    code = step_code(stage, animal)
    return planner.StepSpec(
        id=code,
        name=f"{stage.name}, {animal}" if animal else stage.name,
        station=str(stage.station_id),
        or_at=tuple(str(other.pk) for other in stage.or_at.all() if other.pk != stage.station_id),
        least_min=stage.least_min,
        expected_min=stage.expected_min,
        most_min=stage.most_min,
        windows=(
            planner.Window(
                start=method.clock.minute(day.at(opens)), end=method.clock.minute(day.at(closes))
            ),
        ),
        needs=hands.needs(stage, day),
        subject=str(animal.pk) if animal else "",
        unattended=stage.unattended,
        pinned_start=pins.get(code),
    )


def _gaps(method: Method, known: set[str]) -> Iterator[planner.Gap]:
    stages = {stage.pk: stage for stage in method.stages}
    for gap in method.gaps:
        before, after = stages[gap.before_id], stages[gap.after_id]
        for first, second in _pairs(method, before, after):
            ends = step_code(before, first), step_code(after, second)
            if known.issuperset(ends):
                yield planner.Gap(
                    before=ends[0],
                    after=ends[1],
                    least_min=gap.least_min,
                    most_min=gap.most_min,
                    keeps_place=gap.keeps_place,
                    carcass_waits=first is not None
                    and second is not None
                    and not before.unattended,
                )
    yield from _kill_order(method, known)


def _pairs(
    method: Method, before: Stage, after: Stage
) -> Iterator[tuple[Animal | None, Animal | None]]:
    """Hog by hog where both are done to each hog; otherwise all of one with all of the other."""
    if before.subject == after.subject == Subject.EACH_HOG:
        return ((animal, animal) for animal in method.animals)
    return (
        (first, second) for first in method.subjects(before) for second in method.subjects(after)
    )


def _kill_order(method: Method, known: set[str]) -> Iterator[planner.Gap]:
    """The lead sets the order of the hogs; it holds at their first stage."""
    each = [stage for stage in method.stages if stage.subject == Subject.EACH_HOG]
    if not each:
        return
    codes = [step_code(each[0], animal) for animal in method.animals]
    # On several tracks two may begin together; the order is then that of their starts.
    least = -each[0].expected_min if each[0].or_at.all() else 0
    for earlier, later in pairwise(codes):
        if known.issuperset((earlier, later)):
            yield planner.Gap(before=earlier, after=later, least_min=least, carcass_waits=False)


class _Hands:
    """How many people may do what on each day, as pools that the timetable shares out.

    For each set of people that some duty is open to, the steps at one moment may not ask for more
    of it than there are (a necessary condition of Hall's theorem). Heavy duties have pools of
    their own, held on through the rest after them, so that the rotation can keep the rest rule.
    """

    def __init__(self, method: Method) -> None:
        self._duties = {pk: duty_spec(duty) for pk, duty in method.duties.items()}
        self._rest_min = method.workshop.rest_after_heavy_min
        self._asked, self._clock = method.asked, method.clock
        # Who is away for part of the day counts, and is taken from the pools for that part.
        whole = replace(method, asked=replace(method.asked, absences=()))
        self._people = {day.pk: people(whole, [day]) for day in method.days}
        self._all_day = {day.pk: self._whole(method, day) for day in method.days}
        self._pools: dict[str, planner.Pool] = {}

    @staticmethod
    def _whole(method: Method, day: Day) -> planner.TimedStep:
        # Someone who comes late counts for the timetable only from the next day on.
        opens, closes = (method.clock.minute(day.at(clock)) for clock in (day.opens, day.closes))
        return planner.TimedStep(
            id="all day", name="all day", station="", start=opens, end=closes, duties=()
        )

    def _open_to(self, day: Day, duty: planner.DutySpec) -> frozenset[str]:
        return frozenset(
            person.id
            for person in self._people[day.pk]
            if next(reasons_against(person, duty, self._all_day[day.pk]), None) is None
        )

    def needs(self, stage: Stage, day: Day) -> tuple[planner.Need, ...]:
        """What one step of this stage asks of the pools of its day."""
        wanted = [self._duties[duty.pk] for duty in stage.duties.all()]
        open_to = {duty.id: self._open_to(day, duty) for duty in wanted}
        every_set = {self._open_to(day, duty): duty.name for duty in self._duties.values()} | {
            self._everyone(day): "people"
        }
        needs = []
        for members, name in every_set.items():
            amount = sum(duty.least for duty in wanted if open_to[duty.id] <= members)
            if amount:
                needs.append(self._need(day, name, members, amount, rest_min=0))
            heavy = sum(duty.least for duty in wanted if duty.heavy and open_to[duty.id] <= members)
            if heavy:
                needs.append(self._need(day, name, members, heavy, rest_min=self._rest_min))
        return tuple(needs)

    def _everyone(self, day: Day) -> frozenset[str]:
        return frozenset(
            person.id for person in self._people[day.pk] if is_here(person, self._all_day[day.pk])
        )

    def _need(
        self, day: Day, name: str, members: frozenset[str], amount: int, *, rest_min: int
    ) -> planner.Need:
        kind = "heavy" if rest_min else "hands"
        key = f"{day.pk}:{kind}:{','.join(sorted(members))}"
        words = f"people who may do {name.lower()}" + (", rested," if rest_min else "")
        self._pools.setdefault(
            key,
            planner.Pool(
                id=key,
                name=f"{words} on {day.date:%A}",
                capacity=len(members),
                away=asking.absent_from(members, self._asked.away(day, self._clock)),
                smooth=name == "people" and not rest_min and self._asked.even_hands(day),
            ),
        )
        return planner.Need(pool=key, amount=amount, rest_min=rest_min)

    def pools(self) -> tuple[planner.Pool, ...]:
        """The pools that some step asked for."""
        return tuple(self._pools.values())


# --- who ------------------------------------------------------------------------------------


def timed_steps(method: Method, steps: Iterable[Step]) -> tuple[planner.TimedStep, ...]:
    """Steps that need hands, as the rotation sees them; their stages and duties must be loaded."""
    duties = {
        stage.pk: tuple(str(duty.pk) for duty in stage.duties.all()) for stage in method.stages
    }
    return tuple(
        planner.TimedStep(
            id=step.code,
            name=str(step),
            station=str(step.station_id),
            start=method.clock.minute(step.starts_at),
            end=method.clock.minute(step.ends_at),
            duties=duties[step.stage_id],
            place_loads=tuple(_place_loads(method, step)),
        )
        for step in steps
        if duties[step.stage_id]
    )


def _place_loads(method: Method, step: Step) -> Iterator[planner.PlaceLoad]:
    """What a hand bears at each named place of the chains."""
    handling = method.handling.get(step.station_id)
    for duty, place, kg in lifting.open_loads(step, handling, method.overrides):
        yield planner.PlaceLoad(duty=str(duty.pk), place=place, kg=kg)


def placed(placements: Iterable[Placement]) -> tuple[planner.Placed, ...]:
    """Rows as the planner's placings; the rows' steps must be loaded."""
    return tuple(
        planner.Placed(
            step=row.step.code, duty=str(row.duty_id), person=row.person_key, place=row.place
        )
        for row in placements
    )


def rows_of(sheets: Iterable[RunSheet]) -> Iterator[Placement]:
    """The placements of loaded sheets, each with its loaded step."""
    for sheet in sheets:
        for step in sheet.steps.all():
            for row in step.placements.all():
                row.step = step
                yield row


def rotation_problem(
    method: Method,
    sheets: Iterable[RunSheet],
    *,
    posted: Iterable[RunSheet] = (),
    elsewhere: Iterable[RunSheet] = (),
    now: datetime | None = None,
) -> planner.RotationProblem:
    """Who does what on the days of ``sheets``.

    ``posted`` is what people were told of the same days; ``elsewhere`` are the posted sheets of
    other days, whose duties count as practised. What started before ``now`` stays as posted.
    """
    chosen = tuple(sheets)
    days = [day for day in method.days if day.pk in {sheet.day_id for sheet in chosen}]
    told = placed(rows_of(posted))
    return planner.RotationProblem(
        people=people(method, days),
        duties=tuple(duty_spec(duty) for duty in method.duties.values()),
        steps=timed_steps(method, (step for sheet in chosen for step in sheet.steps.all())),
        locks=placed(row for row in rows_of(chosen) if row.locked),
        posted=told,
        keep_posted=bool(told),
        done=frozenset((row.person_key, str(row.duty_id)) for row in rows_of(elsewhere)),
        rest_after_heavy_min=method.workshop.rest_after_heavy_min,
        now=method.clock.minute(now) if told and now else None,
    )
