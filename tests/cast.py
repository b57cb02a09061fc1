"""The cast: the people every story is told with. The fixtures of ``conftest.py`` hand them out."""

from __future__ import annotations

from datetime import date

from django.test import Client

from tests.build import make_enrolment, make_link, make_staff, make_user, make_workshop
from workshops.models import Enrolment, Knife, StaffRole, User, Workshop
from workshops.roles import Role

BORN_MINOR = date(2013, 6, 1)  # 16 on the first day of a built workshop


def make_organizer() -> User:
    """Sees every workshop, health and money."""
    return make_user(Role.ORGANIZER, username="organizer")


def make_lead(workshop: Workshop) -> User:
    """Leads this workshop."""
    user = make_user(Role.LEAD, username="lead")
    make_staff(workshop, StaffRole.LEAD, name="Lead Maren", user=user)
    return user


def make_helper(workshop: Workshop) -> User:
    """Helps at this workshop; sees no health note and no money."""
    user = make_user(Role.HELPER, username="helper")
    make_staff(workshop, StaffRole.HELPER, name="Helper Tove", user=user)
    return user


def make_stranger() -> User:
    """Signed in, and even a lead, but of another workshop."""
    user = make_user(Role.LEAD, username="stranger")
    make_staff(make_workshop(name="Another course"), StaffRole.LEAD, name="Stranger", user=user)
    return user


def make_linked_attendee(workshop: Workshop) -> Enrolment:
    """An adult with a seat and a private link; a health note that nobody else may read."""
    enrolment = make_enrolment(
        workshop, given_name="Edda", family_name="Marsh", health_note="Pollen makes her wheeze."
    )
    make_link(enrolment)
    return enrolment


def make_minor(workshop: Workshop) -> Enrolment:
    """A sixteen-year-old with a seat and a private link."""
    enrolment = make_enrolment(workshop, given_name="Pip", born=BORN_MINOR, knife=Knife.NONE)
    make_link(enrolment)
    return enrolment


def client_of(user: User | None) -> Client:
    """A browser signed in as that person; ``None`` is nobody."""
    client = Client()
    if user is not None:
        client.force_login(user)
    return client
