"""Swaps and rests: ask, agree, decline, take back, confirm. The only writer of :class:`Swap`.

Who races: the asker takes back while the other says yes; the lead confirms on two screens; a plan
is posted in between. So every step filters on the state it read and counts the rows, the lead's
word is given with the day locked, and a request is held against the plan as it stands at that
moment: a place that has moved since, or whose people are others, is refused in words.
"""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from scheduling import drafting, posting, swap_log, trying
from scheduling.drafting import DraftMovedError, NewHand
from scheduling.models import Placement, RunSheet, Step, Swap, SwapKind, SwapState
from scheduling.models.swaps import Spot
from scheduling.trying import Table
from stations.dipping import Act, Hand
from workshops.models import Day, Enrolment, User


class SwapRefused(Exception):
    """Why nothing was changed, as a sentence with the way out."""


OUT_OF_DATE = (
    "The plan has changed since this page was loaded. Look at your places again, then ask anew."
)
BEGUN = "{step} has begun, so it stays as it is. Ask the lead."
OVER = "{step} is over."
NOTHING_POSTED = "Nothing is posted for that day any more."
NOBODY_FREE = "Nobody who is free may take it by the rules: choose by hand in a draft."


# --- what an attendee does ----------------------------------------------------------------------
def current(mine: Placement) -> tuple[Table, Placement]:
    """The posted day, and this place as it stands there: a page may show an earlier version.

    Raises :class:`SwapRefused` if the place is no longer theirs, or at another time.
    """
    table = _posted_table(mine.step.run_sheet.day)
    return table, _found(table, mine)


@transaction.atomic
def ask(mine: Placement, theirs: Placement, act: Act) -> Swap:
    """Ask someone to swap places; the rules are asked first.

    Raises :class:`SwapRefused` if the plan has moved, a step has begun or a rule speaks against it.
    A second arrival of the same press answers with the first's request.
    """
    if before := Swap.objects.filter(client_id=act.client_id).first():
        return before
    table, own = current(mine)
    other = _found(table, theirs)
    for row in (own, other):
        if table.has_begun(row.step, now=act.now):
            raise SwapRefused(BEGUN.format(step=row.step))
    if against := trying.against_swap(table, own, other):
        raise SwapRefused(" ".join(against))
    return _create(
        own,
        act,
        kind=SwapKind.PLACES,
        other=other.enrolment,
        other_step_code=other.step.code,
        other_duty=other.duty,
        other_place=other.place,
        other_starts_at=other.step.starts_at,
        other_what=_words(other),
    )


@transaction.atomic
def ask_rest(mine: Placement, act: Act) -> Swap:
    """ "I need a rest": the best substitute the rules allow, for the lead to confirm.

    Where nobody is found the lead is told all the same. Raises :class:`SwapRefused` if the plan
    has moved or the step is over.
    """
    if before := Swap.objects.filter(client_id=act.client_id).first():
        return before
    table, own = current(mine)
    if own.step.ends_at <= act.now:
        raise SwapRefused(OVER.format(step=own.step))
    return _create(
        own,
        act,
        kind=SwapKind.REST,
        state=SwapState.AGREED,
        agreed_at=act.at,
        other=trying.substitute(table, own),
    )


def agree(swap: Swap, *, now: datetime) -> None:
    """The other says yes; the rules are asked again. Raises :class:`SwapRefused`."""
    if swap.state != SwapState.ASKED:
        _answered_before(swap, SwapState.AGREED, SwapState.CONFIRMED)
        return
    if why := _speaks_against(swap, now=now):
        _end(swap, SwapState.GONE, now=now, why=why)
        raise SwapRefused(why)
    with transaction.atomic():
        asked = Swap.objects.filter(pk=swap.pk, state=SwapState.ASKED)
        if not asked.update(state=SwapState.AGREED, agreed_at=now):
            _answered_before(swap, SwapState.AGREED, SwapState.CONFIRMED)
            return
        said = f"{swap.other_name} agrees to swap with {swap.asker_name}."
        swap_log.write(swap, SwapState.AGREED, said, by=Hand(enrolment=swap.other), now=now)


def decline(swap: Swap, *, now: datetime) -> None:
    """The other says no. Raises :class:`SwapRefused` if it was answered otherwise before."""
    said = f"{swap.other_name} would rather not. You keep your place."
    hand = Hand(enrolment=swap.other)
    if not _end(swap, SwapState.DECLINED, now=now, why=said, by=hand):
        _answered_before(swap, SwapState.DECLINED)


def take_back(swap: Swap, *, now: datetime) -> None:
    """The asker thinks better of it. Raises :class:`SwapRefused` once it is settled."""
    said, hand = f"{swap.asker_name} took it back.", Hand(enrolment=swap.asker)
    if not _end(swap, SwapState.GONE, now=now, why=said, by=hand):
        _answered_before(swap, SwapState.GONE)


# --- what the lead does -------------------------------------------------------------------------
def confirm(swap: Swap, *, by: User, now: datetime) -> bool:
    """Post the day with the hands changed; both are to be told. Whether the draft agrees too.

    Raises :class:`SwapRefused` for a request that no longer stands; a swap is then gone. A rest
    whose substitute may no longer take over gets another one, and stays for the lead to look at.
    """
    try:
        return _confirm(swap, by=by, now=now)
    except DraftMovedError:
        raise SwapRefused(
            "The plan was changed by someone else at this very moment. Look again, then confirm."
        ) from None
    except _Stale as stale:
        # Said here and not in there: what is written inside goes back with the refusal.
        why = str(stale)
        if stale.table is not None and swap.kind == SwapKind.REST:
            why = f"{why} {_propose_another(swap, stale.table)}"
        else:
            _end(swap, SwapState.GONE, now=now, why=why, by=Hand(user=by))
        raise SwapRefused(why) from stale


class _Stale(Exception):
    """The request cannot be done any more; ``table`` is there if only a rule speaks against it."""

    def __init__(self, why: str, table: Table | None = None) -> None:
        self.table = table
        super().__init__(why)


@transaction.atomic
def _confirm(swap: Swap, *, by: User, now: datetime) -> bool:
    # Two screens may confirm, or one while a draft is posted: the day is held meanwhile.
    day = Day.objects.select_for_update().get(pk=swap.day_id)
    agreed = Swap.objects.filter(pk=swap.pk, state=SwapState.AGREED, other=swap.other)
    if swap.other is None:
        raise SwapRefused(NOBODY_FREE)
    if not agreed.update(state=SwapState.CONFIRMED, settled_at=now, settled_by=by):
        _answered_before(swap, SwapState.CONFIRMED)
        return True
    sheet = RunSheet.objects.posted().with_steps().filter(day=day).first()
    if sheet is None:
        raise _Stale(NOTHING_POSTED)
    table = trying.read(sheet)
    if why := _moved(swap, table, now=now):
        raise _Stale(why)
    if why := _broken(swap, table):
        raise _Stale(why, table)
    posting.post_hands(sheet, _hands(swap, table), by=by, now=now)
    agrees = drafting.change_hands(day, _moves(swap))
    swap_log.write_confirmed(swap, by=Hand(user=by), now=now)
    return agrees


def _propose_another(swap: Swap, table: Table) -> str:
    """The next best one to take over; what to say of that."""
    mine = table.at(swap.spots[0])
    assert mine is not None, "only a place that has not moved is looked at"
    found = trying.substitute(table, mine)
    with transaction.atomic():
        still = Swap.objects.filter(pk=swap.pk, state=SwapState.AGREED, other=swap.other)
        still.update(other=found)
        swap_log.tell(swap)
    if found is None:
        return NOBODY_FREE
    return f"{found.attendee.given_name} may take over instead: look, then confirm."


def refuse(swap: Swap, *, by: User, now: datetime) -> None:
    """The lead says no, or puts away a rest that nobody could take."""
    said = "The lead has looked at it: you keep your place."
    if not _end(swap, SwapState.DECLINED, now=now, why=said, by=Hand(user=by)):
        _answered_before(swap, SwapState.DECLINED, SwapState.GONE)


# --- how it stands ------------------------------------------------------------------------------
def standing(swap: Swap, sheet: RunSheet | None, *, now: datetime) -> str:
    """What has moved since it was asked, in words; nothing while it stands. No query.

    ``sheet`` is the posted one of its day, with its steps loaded.
    """
    if not SwapState(swap.state).is_open:
        return ""
    return _moved_from(swap, sheet, now=now)


def _moved_from(swap: Swap, sheet: RunSheet | None, *, now: datetime) -> str:
    if sheet is None:
        return NOTHING_POSTED
    steps = {step.code: step for step in sheet.steps.all()}
    said = (_spot_moved(swap, spot, steps.get(spot.step_code), now=now) for spot in swap.spots)
    return next(filter(None, said), "")


def _spot_moved(swap: Swap, spot: Spot, step: Step | None, *, now: datetime) -> str:
    if step is None:
        return "The plan has moved since: that step is no longer in it."
    if step.starts_at != spot.starts_at:
        clock = step.starts_at.astimezone(swap.day.workshop.zone)
        return f"The plan has moved since: {step} is at {clock:%H:%M} now."
    if not any(trying.holds(row, step, spot) for row in step.placements.all()):
        name = spot.has.attendee.given_name
        return f"The plan has moved since: {name} no longer has that place at {step}."
    if swap.kind == SwapKind.PLACES and step.starts_at <= now:
        return BEGUN.format(step=step)
    return OVER.format(step=step) if step.ends_at <= now else ""


def _moved(swap: Swap, table: Table, *, now: datetime) -> str:
    if why := _moved_from(swap, table.sheet, now=now):
        return why
    if swap.kind == SwapKind.PLACES:
        rows = (table.at(spot) for spot in swap.spots)
        begun = [row.step for row in rows if row and table.has_begun(row.step, now=now)]
        return BEGUN.format(step=begun[0]) if begun else ""
    return ""


def _broken(swap: Swap, table: Table) -> str:
    """The rules' word for the lead, who may know every reason."""
    broken = table.breaks(_hands(swap, table))
    if swap.kind == SwapKind.REST:
        broken = trying.beside_locks(broken)
    return " ".join(breach.sentence for breach in broken)


def _speaks_against(swap: Swap, *, now: datetime) -> str:
    """The same for the two themselves: the plan, then the rules as they may know them."""
    sheet = RunSheet.objects.posted().with_steps().filter(day=swap.day_id).first()
    if sheet is None:
        return NOTHING_POSTED
    table = trying.read(sheet)
    if why := _moved(swap, table, now=now):
        return why
    mine, theirs = (table.at(spot) for spot in swap.spots)
    assert mine is not None, "what has not moved is there"
    assert theirs is not None, "what has not moved is there"
    # Whoever reads this is the other: their own limits plainly, the asker's not at all.
    return " ".join(trying.against_swap(table, theirs, mine))


def _hands(swap: Swap, table: Table) -> dict[int, Enrolment]:
    """Who is to stand where, by placement; nothing has moved, so every place is found."""
    found = ((table.at(spot), spot.takes) for spot in swap.spots)
    return {row.pk: takes for row, takes in found if row is not None and takes is not None}


def _moves(swap: Swap) -> list[NewHand]:
    return [
        NewHand(
            step_code=spot.step_code,
            duty_id=spot.duty_id,
            place=spot.place,
            leaves=spot.has,
            takes=spot.takes,
        )
        for spot in swap.spots
        if spot.takes is not None
    ]


# --- what they share ----------------------------------------------------------------------------
def _posted_table(day: Day) -> Table:
    sheet = RunSheet.objects.posted().with_steps().filter(day=day).first()
    if sheet is None:
        raise SwapRefused(NOTHING_POSTED)
    return trying.read(sheet)


def _found(table: Table, row: Placement) -> Placement:
    """The same place of the same person at the same time, in the version that is posted now."""
    found = table.like(row)
    if found is None or found.step.starts_at != row.step.starts_at:
        raise SwapRefused(OUT_OF_DATE)
    return found


def _words(row: Placement) -> str:
    clock = row.step.starts_at.astimezone(row.step.run_sheet.day.workshop.zone)
    title = f"{row.title[:1].lower()}{row.title[1:]}"
    return f"{title} at {row.step} ({clock:%H:%M})"


def _create(mine: Placement, act: Act, **columns: object) -> Swap:
    assert mine.enrolment is not None, "a place of the staff is not asked about"
    try:
        with transaction.atomic():
            swap = Swap.objects.create(
                client_id=act.client_id,
                day=mine.step.run_sheet.day,
                asker=mine.enrolment,
                step_code=mine.step.code,
                duty=mine.duty,
                place=mine.place,
                starts_at=mine.step.starts_at,
                what=_words(mine),
                asked_at=act.at,
                **columns,
            )
    except IntegrityError as error:
        # The same press twice at the very same time, or another request for the same place.
        if before := Swap.objects.filter(client_id=act.client_id).first():
            return before
        raise SwapRefused(
            "You have asked about this place already. Take that back first."
        ) from error
    hand = Hand(enrolment=mine.enrolment)
    swap_log.write(swap, SwapState.ASKED, swap.request, by=hand, now=act.now, at=act.at)
    return swap


@transaction.atomic
def _end(swap: Swap, state: SwapState, *, now: datetime, why: str, by: Hand | None = None) -> bool:
    hand = by or Hand()
    open_row = Swap.objects.filter(pk=swap.pk).open()
    if not open_row.update(state=state, settled_at=now, why=why[:400], settled_by=hand.user):
        return False
    said = f"{swap.request} {state.label.capitalize()}: {why}"
    swap_log.write(swap, state, said, by=hand, now=now)
    return True


def _answered_before(swap: Swap, *same: SwapState) -> None:
    """A second arrival of the same answer is no error; another is refused with how it stands."""
    swap.refresh_from_db()
    if swap.state not in same:
        label = SwapState(swap.state).label
        raise SwapRefused(f"That was settled meanwhile: {label}. {swap.why}".strip())
