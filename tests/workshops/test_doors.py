"""Who may open which page: every URL of the app as every role and as nobody."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.build import FIRST_DAY, NOW, make_enrolment, make_hog, make_staff, make_workshop
from tests.cast import client_of
from workshops import linking
from workshops.models import CostBasis, Enrolment, LedgerKind, User, Workshop
from workshops.urls import urlpatterns

ROLES = ("organizer", "lead", "helper", "stranger", "nobody")
OPEN, ASKED, REFUSED, UNKNOWN, MOVED = 200, 302, 403, 404, 302

# URL name, method, and the answer to organizer, lead, helper, stranger and nobody.
DOORS = [
    ("sign-in", "get", (MOVED, MOVED, MOVED, MOVED, OPEN)),
    ("sign-out", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("people", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("person", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("person", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("person-add", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("person-add", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("person-link-renew", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("person-link-revoke", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("hogs", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("hog", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("hog", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("hog-add", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("hog-add", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("owners", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("owners-take-back", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("treatments", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("treatment-remove", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("course", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("course", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("menu", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("meal-remove", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("money", "get", (OPEN, REFUSED, REFUSED, REFUSED, ASKED)),
    ("account", "get", (OPEN, REFUSED, REFUSED, REFUSED, ASKED)),
    ("account", "post", (OPEN, REFUSED, REFUSED, REFUSED, ASKED)),
    ("entry-reverse", "post", (MOVED, REFUSED, REFUSED, REFUSED, ASKED)),
    ("cost", "get", (OPEN, REFUSED, REFUSED, REFUSED, ASKED)),
    ("cost-add", "get", (OPEN, REFUSED, REFUSED, REFUSED, ASKED)),
    ("cost-remove", "post", (MOVED, REFUSED, REFUSED, REFUSED, ASKED)),
    ("bring-in", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("bring-in", "post", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("bring-in-rows", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("bring-in-apply", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("bring-in-drop", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("people-csv", "get", (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)),
    ("person-forget", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("person-link-send", "post", (MOVED, MOVED, REFUSED, UNKNOWN, ASKED)),
    ("feed-renew", "post", (MOVED, MOVED, MOVED, UNKNOWN, ASKED)),
    ("staff-calendar", "get", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("seat-calendar", "get", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    # For anyone: the course's own page, and a household's by its private link.
    ("sign-up", "get", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("sign-up", "post", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("sign-up-more", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("sign-up-fewer", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("sign-up-keep", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("seat", "get", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("seat-answers", "get", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("seat-answers", "post", (OPEN, OPEN, OPEN, OPEN, OPEN)),
    ("seat-take", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("seat-withdraw", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("seat-ask-again", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
    ("seat-accept-waiver", "post", (MOVED, MOVED, MOVED, MOVED, MOVED)),
]
CASES = [
    pytest.param(name, method, role, code, id=f"{name}-{method}-{role}")
    for name, method, codes in DOORS
    for role, code in zip(ROLES, codes, strict=True)
]


@pytest.fixture
def url_of(workshop: Workshop, attendee: Enrolment) -> Callable[[str], str]:
    """The address of a page about the workshop, its attendee or its hog."""
    hog = make_hog(workshop)
    Workshop.objects.update(takes_sign_ups=True)
    slug, word = workshop.slug, attendee.link.word
    household = attendee.attendee.household
    treatment = hog.treatments.create(product="A", on=FIRST_DAY, withdrawal_days=1)
    meal = workshop.days.all()[0].meals.create(name="Chowder")
    cost = workshop.costs.create(name="Feed", basis=CostBasis.PER_HOG, cents=100)
    entry = workshop.ledger.create(
        household=household, kind=LedgerKind.PAYMENT, cents=100, on=FIRST_DAY, made_at=NOW
    )
    brought = workshop.imports.create(name="list.csv", made_at=NOW)
    arguments: dict[str, list[object]] = {
        "home": [],
        "sign-in": [],
        "sign-out": [],
        "hog": [slug, hog.pk],
        "treatments": [slug, hog.pk],
        "treatment-remove": [slug, treatment.pk],
        "meal-remove": [slug, meal.pk],
        "account": [slug, household.pk],
        "entry-reverse": [slug, entry.pk],
        "cost": [slug, cost.pk],
        "cost-remove": [slug, cost.pk],
        "bring-in-rows": [slug, brought.pk],
        "bring-in-apply": [slug, brought.pk],
        "bring-in-drop": [slug, brought.pk],
        "staff-calendar": [linking.renew_feed(make_staff(workshop)).word],
        "seat-calendar": [word],
        "seat": [word],
        "seat-answers": [word, attendee.pk],
        "seat-take": [word],
        "seat-withdraw": [word],
        "seat-ask-again": [word],
        "seat-accept-waiver": [word, attendee.pk],
    }
    person = [workshop.slug, attendee.pk]

    def url(name: str) -> str:
        return reverse(name, args=arguments.get(name, person if "person" in name else person[:1]))

    arguments["person-add"] = [workshop.slug]
    return url


def test_every_url_of_the_app_is_tried() -> None:
    """A new page comes with its line in the table above."""
    assert {name for name, *_ in DOORS} == {pattern.name for pattern in urlpatterns}


@pytest.mark.parametrize(("name", "method", "role", "code"), CASES)
def test_each_role_gets_the_answer_it_should(
    request: pytest.FixtureRequest,
    url_of: Callable[[str], str],
    name: str,
    method: str,
    role: str,
    code: int,
) -> None:
    """Staff of the workshop by their role; strangers learn nothing; nobody is asked to sign in."""
    user: User | None = None if role == "nobody" else request.getfixturevalue(role)
    response = getattr(client_of(user), method)(url_of(name))
    assert response.status_code == code
    by_anyone = name == "sign-out" or name.startswith(("sign-up", "seat"))
    if (role, code) == ("nobody", ASKED) and not by_anyone:
        assert response.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", ["person-link-renew", "person-link-revoke", "sign-out"])
def test_an_act_is_never_done_by_following_a_link(
    organizer_client: Client, url_of: Callable[[str], str], name: str
) -> None:
    """What changes something answers to POST alone."""
    assert organizer_client.get(url_of(name)).status_code == 405


@pytest.mark.parametrize("name", ["person", "person-link-renew", "person-link-revoke"])
def test_another_workshops_person_is_not_found(
    organizer_client: Client, workshop: Workshop, name: str
) -> None:
    """Even for the organizer, a person is found under their own workshop alone."""
    elsewhere = make_enrolment(make_workshop())
    url = reverse(name, args=[workshop.slug, elsewhere.pk])
    assert organizer_client.post(url).status_code == 404


def test_another_workshops_hog_is_not_found(organizer_client: Client, workshop: Workshop) -> None:
    """A hog is found under its own workshop alone."""
    elsewhere = make_hog(make_workshop())
    url = reverse("hog", args=[workshop.slug, elsewhere.pk])
    assert organizer_client.get(url).status_code == 404


@pytest.mark.parametrize("name", ["home", "workshop", "people"])
def test_a_helper_never_meets_a_health_note_or_a_private_link(
    helper_client: Client, attendee: Enrolment, url_of: Callable[[str], str], name: str
) -> None:
    """No page that a helper may open carries either."""
    page = helper_client.get(url_of(name)).content.decode()
    assert attendee.health_note not in page
    assert attendee.link.word not in page


def test_the_lead_sees_the_health_note_and_the_link(
    lead_client: Client, attendee: Enrolment, url_of: Callable[[str], str]
) -> None:
    """On the person's own page."""
    page = lead_client.get(url_of("person")).content.decode()
    assert attendee.health_note in page
    assert attendee.link.path in page
