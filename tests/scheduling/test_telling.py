"""Who is told what after a posting, the way back, and the history of a day."""

from __future__ import annotations

from datetime import time, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from scheduling import posting, telling
from scheduling.models import Notice, Posting, RunSheet, SheetStatus, Turnout
from tests.build import (
    NOW,
    make_attendance,
    make_duty,
    make_enrolment,
    make_link,
    make_placement,
    make_posting,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
)
from tests.cast import client_of
from workshops.models import Day, Enrolment, User, Workshop

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(minutes=7)


class Scene:
    """One scrape with two hands; the posted crew is Ines and Tomas, and Ada is free."""

    def __init__(self, workshop: Workshop) -> None:
        self.day: Day = workshop.days.all()[0]
        self.duty = make_duty(make_station(workshop), name="Scraper", hands_most=2)
        self.stage = make_stage(self.duty.station, duties=[self.duty], name="Scrape")
        self.ines = make_enrolment(workshop, given_name="Ines")
        self.tomas = make_enrolment(workshop, given_name="Tomas")
        self.ada = make_enrolment(workshop, given_name="Ada")
        first = self.version(SheetStatus.POSTED, [self.ines, self.tomas])
        make_posting(first, posted_at=NOW - timedelta(hours=1))

    def version(
        self, status: SheetStatus, crew: list[Enrolment], starts: time = time(9)
    ) -> RunSheet:
        """A version of the day with this crew."""
        step = make_step(make_run_sheet(self.day, status), self.stage, starts=starts, code="x")
        for seat in crew:
            make_placement(step, self.duty, enrolment=seat)
        return RunSheet.objects.with_steps().get(pk=step.run_sheet_id)

    def post(self, crew: list[Enrolment], starts: time = time(9)) -> Posting:
        """Post a draft with this crew."""
        return posting.post(self.version(SheetStatus.DRAFT, crew, starts), by=None, now=NOW)

    def open(self) -> dict[str, tuple[str, ...]]:
        """Whom to tell what."""
        return {one.seat.attendee.given_name: one.sentences for one in telling.to_tell(self.day)}


@pytest.fixture
def scene(workshop: Workshop) -> Scene:
    """The day as posted."""
    return Scene(workshop)


def test_both_people_of_a_change_are_to_be_told(scene: Scene) -> None:
    """Whoever comes and whoever goes; whoever stays hears nothing."""
    scene.post([scene.ines, scene.ada])
    said = ("Ada takes scraper at Scrape (09:00) from Tomas.",)
    assert scene.open() == {"Ada": said, "Tomas": said}


def test_a_moved_step_is_told_to_those_who_keep_their_place_in_it(scene: Scene) -> None:
    """The one who joins learns the time from that sentence."""
    scene.post([scene.ines, scene.ada], starts=time(9, 30))
    assert scene.open()["Ines"] == ("Scrape moves from 09:00 to 09:30.",)
    assert scene.open()["Ada"] == ("Ada takes scraper at Scrape (09:30) from Tomas.",)


def test_two_people_of_one_name_are_told_apart(scene: Scene, workshop: Workshop) -> None:
    """A second Ines takes the place of the first: that is a change."""
    other = make_enrolment(workshop, given_name="Ines")
    scene.post([other, scene.tomas])
    assert Notice.objects.count() == 2
    assert {row.enrolment for row in Notice.objects.all()} == {scene.ines, other}


def test_a_tick_closes_what_is_open_and_says_who_told(scene: Scene, lead: User) -> None:
    """The lead tells Ada; Tomas is still to be told."""
    scene.post([scene.ines, scene.ada])
    answer = client_of(lead).post(reverse("told", args=["winter", 1, scene.ada.pk]), follow=True)
    assert list(scene.open()) == ["Tomas"]
    row = Notice.objects.get(enrolment=scene.ada)
    assert (row.heard, row.told_by) == ("told", lead)
    assert "Ada" not in answer.content.decode().split("Tell them")[1].split("Crews")[0].replace(
        "Ada takes", ""
    )


def test_the_first_to_say_so_counts(scene: Scene, lead: User) -> None:
    """A notice that was read on the card is not marked as told a minute later."""
    scene.post([scene.ines, scene.ada])
    assert telling.read(scene.ada, now=NOW) == 1
    assert telling.tell(scene.day, scene.ada, by=lead, now=LATER) == 0
    row = Notice.objects.get(enrolment=scene.ada)
    assert (row.heard, row.heard_at, row.told_by) == ("read", NOW, None)
    assert row.heard_line(now=LATER) == "read on their card 7 min ago"


def test_the_card_shows_the_change_until_it_is_read(scene: Scene) -> None:
    """The sentence, a button, and then the card as usual."""
    scene.post([scene.ines, scene.ada])
    word = make_link(scene.ada).word
    card, heard = reverse("card", args=[word]), reverse("card-heard", args=[word])
    phone = Client()
    assert "Ada takes scraper at Scrape (09:00) from Tomas." in phone.get(card).content.decode()
    phone.post(heard)
    assert "Your day changed" not in phone.get(card).content.decode()
    assert list(scene.open()) == ["Tomas"]


def test_undo_posts_what_stood_before_as_a_new_version(scene: Scene, lead: User) -> None:
    """The old crew is back, the history keeps all three, and the change back is told."""
    scene.post([scene.ines, scene.ada])
    client_of(lead).post(reverse("post-again", args=["winter", 1, 1]))
    now = RunSheet.objects.posted().with_steps().get(day=scene.day)
    assert {row.person_name for row in now.steps.all()[0].placements.all()} == {"Ines", "Tomas"}
    assert (now.version, now.posting.again) == (3, RunSheet.objects.get(version=1, day=scene.day))
    assert now.posting.difference == ["Tomas takes scraper at Scrape (09:00) from Ada."]
    assert len(scene.open()["Ada"]) == 2


def test_undo_leaves_the_draft_alone(scene: Scene) -> None:
    """What the lead is working on survives."""
    scene.post([scene.ines, scene.ada])
    draft = scene.version(SheetStatus.DRAFT, [scene.ada])
    earlier = RunSheet.objects.with_steps().get(version=1, day=scene.day)
    posting.post_again(earlier, by=None, now=NOW)
    assert RunSheet.objects.drafts().get(day=scene.day) == draft


def test_an_earlier_version_that_breaks_a_rule_today_stays_in_the_past(
    scene: Scene, lead: User
) -> None:
    """Tomas is away today, so the version with him cannot come back."""
    scene.post([scene.ines, scene.ada])
    make_attendance(scene.day, scene.tomas, turnout=Turnout.AWAY)
    url = reverse("post-again", args=["winter", 1, 1])
    page = client_of(lead).post(url, follow=True).content.decode()
    assert "Version 1 was not posted again. Tomas is on Scraper" in page
    assert RunSheet.objects.posted().get(day=scene.day).version == 2


def test_a_version_that_never_was_posted_cannot_be_posted_again(scene: Scene, lead: User) -> None:
    """The version that is posted, and one that does not exist, answer like an unknown page."""
    client = client_of(lead)
    for version in (1, 9):
        url = reverse("post-again", args=["winter", 1, version])
        assert client.post(url).status_code == 404


def test_the_history_says_who_posted_what_and_who_has_not_heard(scene: Scene, lead: User) -> None:
    """Newest first."""
    scene.post([scene.ines, scene.ada])
    page = client_of(lead).get(reverse("history", args=["winter", 1])).content.decode()
    assert page.index("Version 2") < page.index("Version 1")
    assert "2 to tell, 2 not told yet." in page
    assert "Ada takes scraper at Scrape (09:00) from Tomas." in page


def test_a_seat_of_another_course_cannot_be_ticked(scene: Scene, lead: User) -> None:
    """The enrolment must be of this workshop."""
    other = make_enrolment()
    answer = client_of(lead).post(reverse("told", args=["winter", 1, other.pk]))
    assert answer.status_code == 404


def test_someone_who_leaves_at_noon_keeps_their_morning(scene: Scene) -> None:
    """Tomas is away from now on; what he did before now stays, and the rest can be posted."""
    draft = scene.version(SheetStatus.DRAFT, [scene.ines, scene.tomas])
    make_attendance(scene.day, scene.tomas, turnout=Turnout.AWAY)
    nine = scene.day.at(time(9))
    with pytest.raises(posting.PostRefusedError, match="Tomas is on Scraper"):
        posting.post(draft, by=None, now=nine - timedelta(minutes=5))
    made = posting.post(draft, by=None, now=nine + timedelta(minutes=5))
    assert made.difference == []
