"""Packages written down, hogs divided among their owners, posted, handed over, labelled."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import dividing, tasks
from scheduling.dividing import NoDivisionError
from scheduling.labelling import label_lines
from scheduling.models import Division, DivisionStatus, KindWish
from stations import packing
from stations.models import Package, PackageKind, PackageState
from tests.build import (
    NOW,
    make_animal,
    make_hog,
    make_household,
    make_local_check,
    make_ownership,
    make_package,
)
from workshops.models import Animal, Enrolment, Job, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def shared(workshop: Workshop) -> Animal:
    """A hog of two households, half each, in eight packages of two kinds."""
    hog = make_animal(workshop)
    for name in ("Ash", "Birch"):
        make_ownership(hog, make_household(name=name), percent=50)
    for number in range(8):
        kind = PackageKind.CHOPS if number % 2 else PackageKind.LIVER
        make_package(hog, kind=kind, cut=kind.label, grams=700 + 10 * number)
    return hog


def divided(hog: Animal) -> Division:
    """The draft of a hog."""
    fresh = Animal.objects.prefetch_related("owners__household").get(pk=hog.pk)
    return dividing.divide_hog(fresh, by=None, now=NOW, seconds=5)


def owner_key(hog: Animal, name: str) -> str:
    """An owner's key in the planner."""
    return dividing.key_of(hog.owners.get(household__name=name).household_id)


def typed(**changed: object) -> dict[str, object]:
    """A package as a browser sends it, two pounds."""
    return {"kind": "chops", "weight": "2", "client_id": uuid.uuid4()} | changed


# --- packing --------------------------------------------------------------------------------


def test_a_package_is_written_once_and_numbered(helper_client: Client, workshop: Workshop) -> None:
    """The same press twice is one package; the kind stays chosen for the next."""
    hog = make_hog(workshop)
    url = reverse("packing-hog", args=[workshop.slug, hog.pk])
    sent = typed(cut="loin chops, 4")
    first = helper_client.post(url, sent)
    helper_client.post(url, sent)
    helper_client.post(url, typed(kind="lard"))
    rows = list(workshop.packages.all())
    assert [(row.number, row.cut, row.grams) for row in rows] == [
        (1, "loin chops, 4", 907),
        (2, "lard and fat", 907),
    ]
    page = helper_client.get(first["Location"]).content.decode()
    assert "Write 1 on it" in page
    assert 'value="loin chops, 4"' in page


@pytest.mark.parametrize(("weight", "said"), [("0", "more than nothing"), ("250", "out of range")])
def test_a_weight_that_cannot_be_is_refused(
    lead_client: Client, workshop: Workshop, weight: str, said: str
) -> None:
    """All that was typed stands; nothing is written."""
    hog = make_hog(workshop)
    url = reverse("packing-hog", args=[workshop.slug, hog.pk])
    answer = lead_client.post(url, typed(weight=weight, cut="chump"))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert 'value="chump"' in answer.content.decode()
    assert not Package.objects.exists()


def test_a_mistake_keeps_its_number_and_a_missing_one_can_be_found(
    lead_client: Client, workshop: Workshop
) -> None:
    """Numbers are on the packages: none is given twice."""
    hog = make_hog(workshop)
    one = make_package(hog)
    for name, state in (
        ("package-missing", PackageState.MISSING),
        ("package-found", PackageState.HERE),
        ("package-mistake", PackageState.MISTAKE),
    ):
        lead_client.post(reverse(name, args=[workshop.slug, one.pk]))
        one.refresh_from_db()
        assert one.state == state
    wrapped = packing.Wrapped(
        kind=PackageKind.HAM, cut="", grams=3000, cure="", client_id=uuid.uuid4()
    )
    assert packing.pack(hog, wrapped, by=None, now=NOW).number == 2


# --- dividing -------------------------------------------------------------------------------


def test_every_package_goes_to_an_owner_and_the_best_is_proved(shared: Animal) -> None:
    """Half each by weight, within the heaviest package; each owner is told what they got."""
    made = divided(shared)
    assert made.answer["status"] == "proved_best"
    assert made.lines.count() == 8
    ash, birch = made.answer["owners"]
    assert abs(ash["grams"] - birch["grams"]) <= 2 * 770
    assert ash["grams"] + birch["grams"] == sum(Package.objects.values_list("grams", flat=True))
    assert "of an even share" in " ".join(ash["says"])


def test_nobody_gets_a_kind_they_never_take(lead_client: Client, shared: Animal) -> None:
    """The wish is typed on the page; as it comes needs no row."""
    key = owner_key(shared, "Ash")
    url = reverse("kind-wishes", args=[shared.workshop.slug])
    page = lead_client.get(url)
    sent = {name: page.context["form"][name].value() for name in page.context["form"].fields}
    sent[f"{key}-liver"] = "-1"
    assert lead_client.post(url, sent).status_code == 302
    assert KindWish.objects.count() == 1
    ash = next(one for one in divided(shared).answer["owners"] if one["key"] == key)
    assert [kind for kind, *_ in ash["kinds"]] == ["chops"]


def test_a_missing_package_is_told_and_little_is_moved(lead_client: Client, shared: Animal) -> None:
    """The draft says what is gone, cannot be posted, and its successor moves what it must."""
    first = divided(shared)
    lost = shared.packages.first()
    assert lost is not None
    packing.set_state(lost, PackageState.MISSING)
    url = reverse("shares", args=[shared.workshop.slug])
    assert f"No longer here: package {lost.number}." in lead_client.get(url).content.decode()
    with pytest.raises(NoDivisionError, match="Divide again, then post"):
        dividing.post(first, by=None, now=NOW)
    assert divided(shared).answer["moved"] <= 2
    assert Division.objects.filter(status=DivisionStatus.DRAFT).count() == 1


def test_a_posted_division_is_handed_over_and_stays(lead_client: Client, shared: Animal) -> None:
    """Posting twice is posting once; what has been taken is not divided again."""
    slug, draft = shared.workshop.slug, divided(shared)
    with pytest.raises(NoDivisionError, match="post it first"):
        dividing.hand_over(draft, owner_key(shared, "Ash"))
    for _ in range(2):
        lead_client.post(reverse("division-post", args=[slug, draft.pk]))
    draft.refresh_from_db()
    assert draft.status == DivisionStatus.POSTED
    key = owner_key(shared, "Ash")
    lead_client.post(reverse("hand-over", args=[slug, draft.pk, key]))
    taken = set(Package.objects.filter(state=PackageState.HANDED_OVER))
    assert taken == {line.package for line in draft.lines.filter(household__name="Ash")}
    with pytest.raises(packing.PackingRefusedError, match="has been handed over"):
        packing.set_state(taken.pop(), PackageState.MISSING)
    again = divided(shared)
    assert {line.package for line in again.lines.filter(household__name="Ash")} >= taken
    lead_client.post(reverse("hand-back", args=[slug, draft.pk, key]))
    assert not Package.objects.filter(state=PackageState.HANDED_OVER).exists()


@pytest.mark.parametrize("without", ["packages", "owners"])
def test_a_hog_that_cannot_be_divided_says_what_is_missing(
    workshop: Workshop, without: str
) -> None:
    """Packages first, owners first."""
    hog = make_hog(workshop) if without == "packages" else make_animal(workshop)
    if without == "owners":
        make_package(hog)
    said = "no package yet" if without == "packages" else "no owner of record"
    with pytest.raises(NoDivisionError, match=said):
        divided(hog)


def test_the_job_divides_and_a_refusal_is_its_message(
    lead_client: Client, shared: Animal, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The button asks for a job; the task does one verb."""
    slug = shared.workshop.slug
    lead_client.post(reverse("divide-hog", args=[slug, shared.pk]))
    job = Job.objects.get()
    tasks.divide_shares(str(job.pk))
    job.refresh_from_db()
    assert job.state == "done"
    assert Division.objects.get().animal == shared
    shared.packages.all().update(state=PackageState.MISSING)
    lead_client.post(reverse("divide-hog", args=[slug, shared.pk]))
    again = Job.objects.exclude(pk=job.pk).get()
    tasks.divide_shares(str(again.pk))
    again.refresh_from_db()
    assert again.message == "Hog 1 has no package yet. Pack it first."


def test_a_household_sees_its_own_part_alone(
    client: Client, attendee: Enrolment, shared: Animal
) -> None:
    """By the private link, once it is posted."""
    mine = attendee.attendee.household
    shared.owners.filter(household__name="Ash").update(household=mine)
    url = reverse("card-share", args=[attendee.link.word])
    draft = divided(shared)
    assert "Nothing is posted for you yet" in client.get(url).content.decode()
    dividing.post(draft, by=None, now=NOW)
    page = client.get(url).content.decode()
    assert "Birch" not in page
    assert page.count('data-label="Cut"') == draft.lines.filter(household=mine).count()


def test_labels_say_hog_owner_cure_and_not_for_sale(shared: Animal) -> None:
    """The mark goes only when a standing check says so; an owner is there once it is posted."""
    workshop = shared.workshop
    Package.objects.filter(number=1).update(cure="dry cure, no. 1", state="missing")
    before = label_lines(workshop)
    assert len(before) == 7
    assert {line.mark for line in before} == {"NOT FOR SALE"}
    assert {line.owner for line in before} == {""}
    dividing.post(divided(shared), by=None, now=NOW)
    make_local_check(workshop, may_leave_off=True, note="They said so.")
    after = label_lines(Workshop.objects.get(pk=workshop.pk))
    assert {line.owner for line in after} == {"Ash", "Birch"}
    assert {line.mark for line in after} == {""}
    assert (after[0].animal_tag, after[0].weight, after[0].kind) == ("1", "1.6 lb", "chops")


@pytest.mark.parametrize("name", ["packing", "packing-hog", "shares", "kind-wishes"])
def test_a_page_costs_as_many_queries_for_many_as_for_one(
    lead_client: Client, workshop: Workshop, name: str
) -> None:
    """Counted at two sizes of packages, owners, hogs and divisions."""
    hog = make_animal(workshop)
    make_ownership(hog, make_household())
    make_package(hog)
    divided(hog)
    arguments = [workshop.slug] + ([str(hog.pk)] if name == "packing-hog" else [])
    url = reverse(name, args=arguments)
    lead_client.get(url)
    with CaptureQueriesContext(connection) as few:
        lead_client.get(url)
    for _ in range(2):
        more = make_animal(workshop)
        make_ownership(more, make_household(), percent=50)
        make_ownership(more, make_household(), percent=50)
        for _ in range(3):
            make_package(more)
        divided(more)
    make_package(hog)
    with CaptureQueriesContext(connection) as many:
        lead_client.get(url)
    assert len(few) == len(many)
