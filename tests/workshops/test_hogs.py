"""The hogs' list and one hog's page."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.build import make_animal, make_enrolment, make_hog, make_ownership
from workshops.models import Animal, AnimalStatus, Enrolment, Workshop

HOG = {"tag": "7", "order": "1", "weight": "265", "coat": "ordinary", "status": "chosen"}
NO_OWNER = {"owners-TOTAL_FORMS": "0", "owners-INITIAL_FORMS": "0"}


def owners(*rows: Mapping[str, object], known: int = 0) -> dict[str, object]:
    """The owners' part of the page as a browser sends it."""
    sent: dict[str, object] = {
        "owners-TOTAL_FORMS": str(len(rows)),
        "owners-INITIAL_FORMS": str(known),
    }
    for number, row in enumerate(rows):
        sent |= {f"owners-{number}-{name}": value for name, value in row.items()}
    return sent


def share(household: object = "", percent: object = 100, **more: object) -> dict[str, object]:
    """One owner's row."""
    return {"household": household, "percent": percent, "basis": "bought_live"} | {
        "since": "2029-12-01",
        **more,
    }


EMPTY = {"household": "", "percent": "", "basis": "", "since": ""}


def page_of(hog: Animal) -> str:
    """The address of a hog's page."""
    return reverse("hog", args=[hog.workshop.slug, hog.pk])


def version_on(client: Client, hog: Animal) -> str:
    """The version that the open page shows."""
    return str(client.get(page_of(hog)).context["form"]["version"].value())


def test_the_list_shows_weight_coat_status_and_owners(
    helper_client: Client, workshop: Workshop
) -> None:
    """In the workshop's units."""
    make_ownership(make_animal(workshop, live_kg=120), percent=75)
    make_animal(workshop, tag="red", coat="hard", colour="red", status=AnimalStatus.RAISED)
    page = helper_client.get(reverse("hogs", args=[workshop.slug])).content.decode()
    for words in ("265 lb", "the farm 75&nbsp;%", "hard: red", "on the farm", "nobody yet"):
        assert words in page


def test_an_empty_list_offers_the_first_act(lead_client: Client, workshop: Workshop) -> None:
    """It says what follows from a hog."""
    page = lead_client.get(reverse("hogs", args=[workshop.slug])).content.decode()
    assert "No hog yet" in page
    assert reverse("hog-add", args=[workshop.slug]) in page


def test_the_list_costs_the_same_for_two_hogs_and_for_eight(
    lead_client: Client, workshop: Workshop
) -> None:
    """No query per row."""
    counts = []
    for hogs in (2, 6):
        for _ in range(hogs):
            make_hog(workshop)
        with CaptureQueriesContext(connection) as caught:
            lead_client.get(reverse("hogs", args=[workshop.slug]))
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_a_new_hog_is_the_next_in_order_and_may_have_two_owners(
    lead_client: Client, attendee: Enrolment
) -> None:
    """Pounds become kilograms; a blank owner is the farm; the empty row is nobody."""
    workshop = attendee.workshop
    make_hog(workshop)
    url = reverse("hog-add", args=[workshop.slug])
    assert lead_client.get(url).context["form"]["order"].value() == 2
    household = attendee.attendee.household
    rows = owners(share(household.pk, 60), share("", 40, basis="farms_own"), EMPTY)
    assert lead_client.post(url, HOG | rows).status_code == 302
    hog = workshop.animals.get(tag="7")
    assert hog.live_kg == Decimal("120.2")
    assert [(owner.household, owner.percent) for owner in hog.owners.all()] == [
        (household, Decimal(60)),
        (None, Decimal(40)),
    ]


def test_an_owner_is_taken_off(lead_client: Client, workshop: Workshop) -> None:
    """A tick takes the row away."""
    hog = make_hog(workshop)
    row = share("", 100, basis="farms_own", since="2029-11-12", DELETE="on")
    sent = HOG | {"version": version_on(lead_client, hog)} | owners(row, known=1)
    assert lead_client.post(page_of(hog), sent).status_code == 302
    assert not hog.owners.exists()


@pytest.mark.parametrize(
    ("typed", "rows", "words"),
    [
        ({"weight": "2000"}, [], "2000 lb is out of range; write a number from 45 lb to 992 lb."),
        ({"tag": "1"}, [], "Another hog of this workshop has the tag 1; choose one that is free."),
        ({}, [share("", 70), share("own", 70)], "The shares come to 140 percent"),
        ({}, [share("", 20), share("", 20)], "The farm stands 2 times"),
        ({}, [share("", 0)], "A share lies above 0 and at most 100 percent."),
        ({}, [share("foreign", 10)], "Owner 1, Owner: Select a valid choice."),
        ({"status": "cut"}, [], "Select a valid choice."),
    ],
)
def test_a_refusal_says_what_would_satisfy_it_and_saves_nothing(
    lead_client: Client,
    attendee: Enrolment,
    typed: dict[str, str],
    rows: list[dict[str, object]],
    words: str,
) -> None:
    """Hog and owners are saved together or not at all."""
    workshop = attendee.workshop
    make_hog(workshop)
    foreign = make_enrolment().attendee.household
    keys = {"own": attendee.attendee.household.pk, "foreign": foreign.pk}
    rows = [row | {"household": keys.get(str(row["household"]), "")} for row in rows]
    url = reverse("hog-add", args=[workshop.slug])
    response = lead_client.post(url, HOG | typed | owners(*rows))
    assert words in response.content.decode()
    assert workshop.animals.count() == 1


def test_the_second_of_two_tabs_is_told_and_loses_nothing(
    lead_client: Client, organizer_client: Client, workshop: Workshop
) -> None:
    """The owners that the first wrote are not wiped unseen."""
    hog = make_animal(workshop)
    seen = version_on(organizer_client, hog)
    sent = HOG | {"version": seen}
    assert lead_client.post(page_of(hog), sent | owners(share())).status_code == 302
    response = organizer_client.post(page_of(hog), sent | {"weight": "300"} | NO_OWNER)
    form = response.context["form"]
    assert "They left: Hog 7, chosen, owned by the farm 100 percent." in str(form.errors)
    assert 'value="300"' in response.content.decode()
    assert hog.owners.count() == 1
    again = sent | {"weight": "300", "version": form["version"].value()} | NO_OWNER
    assert organizer_client.post(page_of(hog), again).status_code == 302
    hog.refresh_from_db()
    assert hog.live_kg == Decimal("136.1")


def test_a_carcass_weight_is_kept_and_never_above_the_live_weight(
    lead_client: Client, workshop: Workshop
) -> None:
    """195 lb of 265; 300 of 265 is refused, and nothing is written."""
    hog = make_animal(workshop, live_kg=120)
    for typed, kept in (("195", "88.5"), ("300", "88.5"), ("", None)):
        sent = HOG | {"version": version_on(lead_client, hog), "carcass": typed} | NO_OWNER
        answer = lead_client.post(page_of(hog), sent)
        hog.refresh_from_db()
        assert (hog.carcass_kg and str(hog.carcass_kg)) == kept
        refused = "A carcass weighs no more than the hog did alive." in answer.content.decode()
        assert refused is (typed == "300")
