"""What a swap or a rest leaves in the duty log, and the pages that are to look again."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID, uuid5

from scheduling import logbook
from scheduling.logbook import Told
from scheduling.models import LogKind, Step, Swap, SwapKind, SwapState
from stations.dipping import Hand
from workshops.models import Enrolment, Topic
from workshops.pulse import beat


def write(
    swap: Swap, state: SwapState, text: str, *, by: Hand, now: datetime, at: datetime | None = None
) -> None:
    """One entry for each state that a request comes to, once, about the one who asked."""
    told = _told(swap, swap.step_code, text, about=swap.asker, at=at or now)
    logbook.write(swap.day.workshop, told, by=by, client_id=_press(swap, state), now=now)
    tell(swap)


def write_confirmed(swap: Swap, *, by: Hand, now: datetime) -> None:
    """An entry for each place that changed hands, about the one who takes it."""
    for spot, what in zip(swap.spots, (swap.what, swap.other_what), strict=False):
        if spot.takes is not None:
            takes, leaves = spot.takes.attendee.given_name, spot.has.attendee.given_name
            text = f"{takes} takes {what} from {leaves}. The lead has confirmed it."
            told = _told(swap, spot.step_code, text, about=spot.takes, at=now)
            press = _press(swap, f"{SwapState.CONFIRMED} {spot.takes.pk}")
            logbook.write(swap.day.workshop, told, by=by, client_id=press, now=now)
    tell(swap)


def tell(swap: Swap) -> None:
    """The morning, the day's page and the cards look again."""
    beat(swap.day.workshop_id, Topic.SWAP)


def _press(swap: Swap, what: str) -> UUID:
    """Named after the request, so that what happens once is written once."""
    return uuid5(swap.client_id, what)


def _told(swap: Swap, step_code: str, text: str, *, about: Enrolment, at: datetime) -> Told:
    # Where it was: any version that had the step knows the place and the hog.
    steps = Step.objects.filter(run_sheet__day=swap.day_id, code=step_code)
    step = steps.select_related("station", "animal").order_by("-run_sheet_id").first()
    return Told(
        kind=LogKind.REST if swap.kind == SwapKind.REST else LogKind.SWAP,
        text=text,
        at=at,
        station=step.station if step else None,
        animal=step.animal if step else None,
        about=about,
    )


def forget(seat: Enrolment) -> None:
    """Called when somebody asks to be forgotten: what they asked for and were asked goes."""
    Swap.objects.of(seat).delete()
