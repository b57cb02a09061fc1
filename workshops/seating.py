"""Who has a seat: the only writer of an enrolment's status."""

from __future__ import annotations

from django.db import transaction

from workshops.models import Enrolment, EnrolmentStatus, Workshop


class NoSeatLeft(Exception):
    """Every seat of the workshop is filled."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        super().__init__(
            f"All {workshop.seats} seats of {workshop.name} are filled. "
            "Put this person on the waiting list, withdraw someone, or raise the number of seats."
        )


@transaction.atomic
def settle(seat: Enrolment, status: EnrolmentStatus) -> None:
    """Save the seat with that status; refuse to confirm more people than there are seats.

    Two organizers may confirm the last seat at once, so the workshop's row is locked first.
    """
    workshop = Workshop.objects.select_for_update().get(pk=seat.workshop_id)
    taken = workshop.enrolments.confirmed().exclude(pk=seat.pk).count()
    if status == EnrolmentStatus.CONFIRMED and taken >= workshop.seats and _is_new(seat):
        raise NoSeatLeft(workshop)
    seat.status = status
    seat.save()


def _is_new(seat: Enrolment) -> bool:
    """Whether the seat is not confirmed yet in the database: those who have one keep it."""
    return not Enrolment.objects.confirmed().filter(pk=seat.pk).exists()
