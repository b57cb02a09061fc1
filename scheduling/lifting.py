"""What is lifted at each step of a sheet, by whom, with which aid and whose override."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scheduling.models import Override, Placement, RunSheet, Step
from stations import screening
from stations.cautions import Caution
from stations.lifting import starting_lift
from stations.models import Duty, HandlingSetup, Signal
from stations.screening import Beyond, LiftPlan, PlannedMove
from stations.trade.capacities import Lifter
from stations.trade.places import Phase, Place
from stations.trade.verdicts import Grade
from stations.wording import SIGNALS, said
from workshops.models import Animal, Day, Enrolment, Workshop
from workshops.quantities import WEIGHT

# Left with right on one chain: their heights should be alike.
ACROSS = (
    (Place.FORE_LEFT.value, Place.FORE_RIGHT.value),
    (Place.HIND_LEFT.value, Place.HIND_RIGHT.value),
)


def settings_of(workshop: Workshop) -> dict[int, HandlingSetup]:
    """The handling settings of each station, by the station's id: one query."""
    rows = HandlingSetup.objects.filter(station__workshop=workshop)
    return {row.station_id: row for row in rows.select_related("station__trough")}


def lifter_of(seat: Enrolment) -> Lifter:
    """An attendee as the trade sees them; the attendee must be loaded."""
    return Lifter(
        id=f"a{seat.pk}",
        comfortable_kg=None if seat.lift_kg is None else float(seat.lift_kg),
        height_cm=seat.attendee.height_cm,
    )


def planning_lift_kg(seat: Enrolment) -> float:
    """What the rotation counts with: their own word, or the published starting value."""
    return starting_lift().kg if seat.lift_kg is None else float(seat.lift_kg)


def heavy_duty(duties: Iterable[Duty]) -> Duty | None:
    """The duty of a stage that moves the hog: the one on the chains, else the first heavy one."""
    listed = list(duties)
    chains = next((duty for duty in listed if duty.holds_chains), None)
    return chains or next((duty for duty in listed if duty.heavy), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One named place with who stands there and the most they hold or pull, kg."""

    place: Place
    name: str
    load_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One step at which a hog is moved: the plan, the crew, the caller, the overrides."""

    step: Step
    animal: Animal
    duty: Duty
    plan: LiftPlan
    seats: Mapping[Place, Enrolment]
    caller: str
    overrides: tuple[Override, ...]
    units: str

    @property
    def hands(self) -> tuple[Hand, ...]:
        """The four places; an empty name where nobody stands yet. None but on chains."""
        if not self.duty.holds_chains:
            return ()
        loads = self.plan.place_loads
        return tuple(
            Hand(
                place=place,
                name=self.seats[place].attendee.given_name if place in self.seats else "",
                load_kg=loads[place],
            )
            for place in Place
        )

    @property
    def aids(self) -> str:
        """The aids planned in one line, as a sentence; empty where hands are enough."""
        aids = self.plan.aids
        return f"{aids[:1].upper()}{aids[1:]}." if aids else ""

    @property
    def lift_line(self) -> str:
        """What the run sheet says: the heaviest phase, how it is done, and why not by hand."""
        moves = {move.phase: move for move in self.plan.moves}
        heaviest = moves.get(Phase.LIFT_OUT) or self.plan.moves[0]
        return heaviest.sentence(self.units)

    @property
    def sentences(self) -> list[str]:
        """Each phase: how, and what the screens say of it by hand."""
        return [move.sentence(self.units) for move in self.plan.moves]

    @property
    def verdicts(self) -> list[Caution]:
        """What the screens say of each phase as planned, the same words once."""
        found: dict[str, Caution] = {}
        for move in self.plan.moves:
            if move.done is None or move.is_short:
                continue
            head = f"{move.name[:1].upper()}{move.name[1:]}, {move.how}"
            text = said(move.done.deciding, self.units)
            note = Caution(
                signal=SIGNALS[move.grade],
                text=f"{head}. {text}",
                source_line=str(move.done.deciding.source),
            )
            found.setdefault(text, note)
        return list(found.values())

    @property
    def notes(self) -> list[str]:
        """Whose lift was assumed, what the plan rests on, and the gaps in what is published."""
        return [*self._assumed(), *self.plan.notes(self.units)]

    def _assumed(self) -> Iterable[str]:
        for place, seat in self.seats.items():
            capacity = self.plan.capacity(lifter_of(seat))
            if capacity.is_assumed:
                yield (
                    f"{seat.attendee.given_name} ({place}) gave no comfortable lift: "
                    f"{WEIGHT.shown(capacity.kg, self.units)} is assumed, a cautious starting "
                    f"value ({capacity.source.trust.words})."
                )

    @property
    def warnings(self) -> list[Caution]:
        """What must be seen before anyone lifts: no aid here, a crew past a screen in the way
        planned, or someone past their own with no override for it."""
        weak = [note for note in self.verdicts if note.signal == Signal.WARNING]
        return [
            *self.shortfalls,
            *weak,
            *(self._past(beyond, seat) for beyond, seat in self.beyond()),
        ]

    @property
    def shortfalls(self) -> list[Caution]:
        """The phases that nothing at the station brings within the screens."""
        return [self._short(move) for move in self.plan.shortfalls]

    def _short(self, move: PlannedMove) -> Caution:
        return Caution(
            signal=SIGNALS[Grade.NEEDS_AID],
            text=move.sentence(self.units),
            source_line=str(move.by_hand.deciding.source),
        )

    def _past(self, beyond: Beyond, seat: Enrolment) -> Caution:
        return Caution(
            signal=SIGNALS[Grade.NEEDS_AID],
            text=beyond.sentence(seat.attendee.given_name, self.units),
        )

    def beyond(self) -> list[tuple[Beyond, Enrolment]]:
        """Who of the crew stands past their own screen, with no override of the lead for it."""
        found = []
        loads = self.plan.place_loads
        for place, seat in self.seats.items():
            beyond = self.plan.beyond(place, lifter_of(seat))
            if beyond and not any(
                made.covers(self.step, place, f"a{seat.pk}", loads[place])
                for made in self.overrides
            ):
                found.append((beyond, seat))
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifts:
    """Every step of a sheet that moves a hog, by the step's id."""

    by_step: Mapping[int, Lift]
    not_set_up: frozenset[int]

    def of(self, step: Step) -> Lift | None:
        """The lift of a step, if there is one."""
        return self.by_step.get(step.pk)


NO_LIFTS = Lifts(by_step={}, not_set_up=frozenset())


def lifts_of(sheet: RunSheet | None) -> Lifts:
    """The lifts of a loaded sheet: two queries, for the settings and the overrides."""
    if sheet is None:
        return NO_LIFTS
    workshop = sheet.day.workshop
    settings = settings_of(workshop)
    made = list(overrides_of(sheet.day))
    found: dict[int, Lift] = {}
    bare = set()
    for step in sheet.steps.all():
        duty = heavy_duty(step.stage.duties.all())
        if duty is None or step.animal is None:
            continue
        handling = settings.get(step.station_id)
        if handling is None:
            bare |= {step.pk} if duty.holds_chains else set()
            continue
        found[step.pk] = _lift(step, step.animal, duty, handling, made, workshop.units)
    return Lifts(by_step=found, not_set_up=frozenset(bare))


def overrides_of(day: Day) -> list[Override]:
    """The lead's overrides of a day, the newest first: one query."""
    return list(Override.objects.with_names().filter(day=day))


def _lift(
    step: Step,
    animal: Animal,
    duty: Duty,
    handling: HandlingSetup,
    made: Iterable[Override],
    units: str,
) -> Lift:
    rows = list(step.placements.all())
    seats = _seats(duty, rows)
    crew = {place: lifter_of(seat) for place, seat in seats.items()}
    plan = screening.plan_lift(handling, animal, crew)
    return Lift(
        step=step,
        animal=animal,
        duty=duty,
        plan=plan,
        seats=seats,
        caller=next((row.person_name for row in rows if row.duty.calls), ""),
        overrides=tuple(
            one for one in made if one.step_code == step.code and _still_needed(one, seats, plan)
        ),
        units=units,
    )


def _seats(duty: Duty, rows: Iterable[Placement]) -> dict[Place, Enrolment]:
    if not duty.holds_chains:
        return {}
    # Whoever was placed before the duty's places were given their names stands at none of them.
    known = {place.value for place in Place}
    return {
        Place(row.place): row.enrolment
        for row in rows
        if row.duty_id == duty.pk and row.enrolment is not None and row.place in known
    }


def _still_needed(made: Override, seats: Mapping[Place, Enrolment], plan: LiftPlan) -> bool:
    """An override is told while its person stands there, past their screen; it is kept for ever."""
    place = Place(made.place)
    seat = seats.get(place)
    if seat is None or seat.pk != made.enrolment_id:
        return False
    return plan.beyond(place, lifter_of(seat)) is not None


def open_loads(
    step: Step, handling: HandlingSetup | None, made: Iterable[Override]
) -> Iterable[tuple[Duty, str, float]]:
    """The load of each named place of the chains that the rotation has to respect, kg.

    Where the lead has locked someone in beyond their screen and said why, the load is left out:
    that place is the lead's decision, and the lock alone holds it.
    """
    duty = heavy_duty(step.stage.duties.all())
    if duty is None or not duty.holds_chains or handling is None or step.animal is None:
        return
    locked = {row.place: row.person_key for row in step.placements.all() if row.locked}
    for place, load_kg in screening.plan_lift(handling, step.animal).place_loads.items():
        overridden = any(
            one.day_id == step.run_sheet.day_id
            and one.covers(step, place, locked.get(place, ""), load_kg)
            for one in made
        )
        if load_kg > 0 and not overridden:
            yield duty, place.value, round(load_kg, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftedStep:
    """A step with its lift, if it has one."""

    step: Step
    lift: Lift | None


def lifted_steps(sheet: RunSheet | None) -> list[LiftedStep]:
    """Every step of a sheet, with its lift where a hog is moved: two queries."""
    if sheet is None:
        return []
    lifts = lifts_of(sheet)
    return [LiftedStep(step=step, lift=lifts.of(step)) for step in sheet.steps.all()]
