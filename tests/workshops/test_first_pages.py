"""Home and the overview of a workshop."""

from __future__ import annotations

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.build import make_enrolment, make_hog, make_workshop
from workshops.models import EnrolmentStatus, Limit, Workshop


def queries_of(client: Client, url: str) -> int:
    """How many queries a page costs, without signing in anew."""
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert client.get(url).status_code == 200
    return len(caught)


def test_home_lists_dates_and_filled_seats(lead_client: Client, workshop: Workshop) -> None:
    """Only confirmed seats count."""
    make_enrolment(workshop)
    make_enrolment(workshop, status=EnrolmentStatus.WAITING)
    page = lead_client.get(reverse("home")).content.decode()
    assert "11 to 13 January 2030" in page
    assert "1 of 14 seats filled" in page


def test_home_shows_each_person_their_own_workshops(
    lead_client: Client, workshop: Workshop
) -> None:
    """A lead does not learn of another course."""
    make_workshop(name="Elsewhere")
    page = lead_client.get(reverse("home")).content.decode()
    assert workshop.name in page
    assert "Elsewhere" not in page


def test_an_empty_home_says_what_happens_next(organizer_client: Client) -> None:
    """No list is just blank."""
    assert "No workshop yet" in organizer_client.get(reverse("home")).content.decode()


def test_what_is_lacking_is_told_to_those_who_can_mend_it(
    lead_client: Client, helper_client: Client, workshop: Workshop
) -> None:
    """A helper cannot open the pages that mend it."""
    url = reverse("workshop", args=[workshop.slug])
    assert "There is no hog yet; add one." in lead_client.get(url).content.decode()
    assert "There is no hog yet" not in helper_client.get(url).content.decode()


def test_the_overview_links_each_day(lead_client: Client, workshop: Workshop) -> None:
    """Three days, three run sheets and three mornings."""
    page = lead_client.get(reverse("workshop", args=[workshop.slug])).content.decode()
    for number in (1, 2, 3):
        assert f'href="{reverse("run-sheet", args=[workshop.slug, number])}"' in page
        assert f'href="{reverse("morning", args=[workshop.slug, number])}"' in page


def test_a_helper_is_offered_no_page_that_would_refuse_them(
    helper_client: Client, workshop: Workshop
) -> None:
    """Neither in the list of days nor at the top."""
    url = reverse("workshop", args=[workshop.slug])
    response = helper_client.get(url)
    offered = [link.url for link in response.context["nav"]]
    assert reverse("people", args=[workshop.slug]) in offered
    assert reverse("print-room", args=[workshop.slug]) not in offered
    assert reverse("morning", args=[workshop.slug, 1]) not in response.content.decode()


def test_the_open_page_is_marked_in_the_links(lead_client: Client, workshop: Workshop) -> None:
    """A person's page belongs to People."""
    seat = make_enrolment(workshop)
    response = lead_client.get(reverse("person", args=[workshop.slug, seat.pk]))
    assert [link.label for link in response.context["nav"] if link.current] == ["People"]


def test_home_costs_the_same_however_much_there_is(organizer_client: Client) -> None:
    """Two workshops or five, two people or nine each."""
    fill(workshops=2, people=2)
    organizer_client.get(reverse("home"))
    few = queries_of(organizer_client, reverse("home"))
    fill(workshops=3, people=9)
    assert queries_of(organizer_client, reverse("home")) == few


def test_the_overview_costs_the_same_however_much_there_is(
    lead_client: Client, workshop: Workshop
) -> None:
    """Two people or eleven."""
    url = reverse("workshop", args=[workshop.slug])
    people_and_hogs(workshop, 2)
    few = queries_of(lead_client, url)
    people_and_hogs(workshop, 9)
    assert queries_of(lead_client, url) == few


def fill(*, workshops: int, people: int) -> None:
    """So many workshops, each with so many people and hogs."""
    for _ in range(workshops):
        people_and_hogs(make_workshop(), people)


def people_and_hogs(workshop: Workshop, count: int) -> None:
    """So many of each, with a limit each."""
    for _ in range(count):
        make_enrolment(workshop, limits=[Limit.NO_KNIVES])
        make_hog(workshop)
