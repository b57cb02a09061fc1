"""The pages of the live day: who may open what, the card's big buttons, alarms, the board."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from scheduling import alarming
from scheduling.models import Actual, Alarm, Mark, SheetStatus, Step
from tests.build import (
    make_day,
    make_dip,
    make_duty,
    make_enrolment,
    make_hog,
    make_link,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
    make_workshop,
)
from tests.cast import client_of, make_lead
from workshops.models import Enrolment, User, Workshop

pytestmark = pytest.mark.django_db
ROLES = ("organizer", "lead", "helper", "stranger", "nobody")
OPEN, MOVED, ASKED, REFUSED, UNKNOWN, WRONG = 200, 302, 302, 403, 404, 422

# URL name, method, and the answer to organizer, lead, helper, stranger and nobody.
DOORS = [
    ("events-now", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("alarm-seen", "post", (MOVED, MOVED, MOVED, UNKNOWN, ASKED)),
    ("step-paused", "post", (WRONG, WRONG, WRONG, UNKNOWN, ASKED)),
    ("step-resumed", "post", (WRONG, WRONG, WRONG, UNKNOWN, ASKED)),
    ("day-log", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("log-add", "post", (WRONG, WRONG, WRONG, UNKNOWN, ASKED)),
    ("day-log-csv", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("course-log-csv", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("log-correct", "get", (UNKNOWN, UNKNOWN, REFUSED, UNKNOWN, ASKED)),
    ("hog-log", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
    ("person-log", "get", (OPEN, OPEN, OPEN, UNKNOWN, ASKED)),
]
CASES = [
    pytest.param(name, method, role, code, id=f"{name}-{role}")
    for name, method, codes in DOORS
    for role, code in zip(ROLES, codes, strict=True)
]


@pytest.fixture
def today(db: None) -> Step:
    """A posted step that began five minutes ago, Edda at an easy duty of it."""
    workshop = make_course_of_today()
    station = make_trough(make_station(workshop, name="Trough")).station
    stage = make_stage(station, name="Scald", duties=[make_duty(station, name="Timer")])
    sheet = make_run_sheet(workshop.days.get(), SheetStatus.POSTED)
    now = timezone.now()
    step = make_step(
        sheet, stage, animal=make_hog(workshop, tag="12"),
        starts_at=now - timedelta(minutes=5), ends_at=now + timedelta(minutes=15),
    )  # fmt: skip
    seat = make_enrolment(workshop, given_name="Edda")
    make_placement(step, stage.duties.get(), enrolment=seat)
    make_link(seat)
    return step


def make_course_of_today() -> Workshop:
    """Noon at the farm is now, so that no test runs across its midnight."""
    zone = f"Etc/GMT{timezone.now().hour - 12:+d}"
    workshop = make_workshop(
        name="Winter course", slug="winter", days=0, time_zone=zone,
        first_aid_point="Box at the barn door",
    )  # fmt: skip
    make_day(workshop, date=timezone.now().astimezone(workshop.zone).date())
    return workshop


def edda(step: Step) -> Enrolment:
    seat = step.placements.get().enrolment
    assert seat is not None
    return seat


@pytest.fixture
def url_of(workshop: Workshop, attendee: Enrolment) -> Callable[[str], str]:
    """The address of a page about the course, its attendee or its hog."""
    rest: dict[str, list[object]] = {
        "step-paused": [1, "kill"],
        "step-resumed": [1, "kill"],
        "log-correct": [9],
        "hog-log": [make_hog(workshop).pk],
        "person-log": [attendee.pk],
        "events-now": [],
        "alarm-seen": [],
        "course-log-csv": [],
    }
    return lambda name: reverse(name, args=["winter", *rest.get(name, [1])])


@pytest.mark.parametrize(("name", "method", "role", "code"), CASES)
def test_each_role_gets_the_answer_it_should(
    request: pytest.FixtureRequest,
    url_of: Callable[[str], str],
    name: str,
    method: str,
    role: str,
    code: int,
) -> None:
    """Staff of the course; strangers learn nothing; nobody is asked to sign in."""
    user: User | None = None if role == "nobody" else request.getfixturevalue(role)
    answer = getattr(client_of(user), method)(url_of(name))
    assert answer.status_code == code
    if (role, code) == ("nobody", ASKED):
        assert answer["Location"].startswith(reverse("sign-in"))


def press(client: Client, word: str, step: Step, mark: Mark) -> str:
    url = reverse(f"card-step-{mark.value}", args=[word, step.code])
    return client.post(url, {"client_id": str(uuid4())}, follow=True).content.decode()


def test_whoever_stands_at_a_step_starts_pauses_and_finishes_it(
    client: Client, today: Step
) -> None:
    """By the big buttons on the card, which change with each press; the rows name who pressed."""
    word = edda(today).link.word
    page = client.get(reverse("card", args=[word])).content.decode()
    assert ">Started</button>" in page
    page = press(client, word, today, Mark.STARTED)
    assert ">Finished</button>" in page
    assert ">Pause</button>" in page
    page = press(client, word, today, Mark.PAUSED)
    assert ">Go on</button>" in page
    press(client, word, today, Mark.RESUMED)
    press(client, word, today, Mark.FINISHED)
    assert list(Actual.objects.values_list("mark", "by_enrolment")) == [
        (mark.value, edda(today).pk)
        for mark in (Mark.STARTED, Mark.PAUSED, Mark.RESUMED, Mark.FINISHED)
    ]


def test_a_press_sent_twice_is_one_and_a_wrong_one_says_why(client: Client, today: Step) -> None:
    """Go on without a pause comes back as a sentence on the card."""
    word = edda(today).link.word
    url, once = reverse("card-step-started", args=[word, today.code]), {"client_id": str(uuid4())}
    client.post(url, once)
    client.post(url, once)
    assert Actual.objects.count() == 1
    assert "is not paused" in press(client, word, today, Mark.RESUMED)


def test_nobody_marks_a_step_they_do_not_stand_at(client: Client, today: Step) -> None:
    """Someone else's card of the same course finds no such step."""
    other = make_link(make_enrolment(today.run_sheet.day.workshop))
    url = reverse("card-step-started", args=[other.word, today.code])
    assert client.post(url, {"client_id": str(uuid4())}).status_code == 404
    assert not Actual.objects.exists()


def test_a_heavy_duty_has_no_button(client: Client, today: Step) -> None:
    """Whoever holds a chain has no hand for a phone."""
    today.stage.duties.update(heavy=True)
    page = client.get(reverse("card", args=[edda(today).link.word])).content.decode()
    assert ">Started</button>" not in page


@pytest.fixture
def long_dip(today: Step) -> Workshop:
    """Hog 12 has been in the water for twenty minutes."""
    now = timezone.now() - timedelta(minutes=20)
    make_dip(today.station, today.animal, water_in_at=now, received_at=now)
    return today.run_sheet.day.workshop


def test_the_board_shows_the_dip_the_burn_the_alarm_and_where_help_is(
    client: Client, today: Step, long_dip: Workshop
) -> None:
    """Now and next, the running clock, seconds to a burn, first aid, the emergency number."""
    page = client.get(reverse("card-board", args=[edda(today).link.word])).content.decode()
    for words in (
        "data-running-since", "burn", "Emergency: 112", "First aid: Box at the barn door.",
        "in the water; longest published soak", "On it: Edda", "data-live-link",
    ):  # fmt: skip
        assert words in page, words
    assert "Seen, on it" not in page  # an attendee acknowledges at the trough


@pytest.mark.parametrize("page", ["board", "run-sheet", "morning"])
def test_an_alarm_is_acknowledged_from_the_page_it_is_seen_on(
    long_dip: Workshop, page: str
) -> None:
    """Who and when stand there afterwards, and the button is gone."""
    staff = client_of(make_lead(long_dip))
    url = reverse(page, args=["winter"] if page == "board" else ["winter", 1])
    before = staff.get(url).content.decode()
    assert "Seen, on it" in before
    for key in {part.split('"')[0] for part in before.split('data-alarm="')[1:]}:
        data = {"key": key, "page": page, "number": "1"}
        answer = staff.post(reverse("alarm-seen", args=["winter"]), data)
        assert answer["Location"] == url
    after = staff.get(url).content.decode()
    assert "Seen by lead" in after
    assert "Seen, on it" not in after
    assert not Alarm.objects.filter(acknowledged_at=None).exists()


def test_someone_at_the_trough_acknowledges_by_their_card(
    client: Client, today: Step, long_dip: Workshop
) -> None:
    """The trough's page shows what the worker wrote down."""
    alarming.note(long_dip, now=timezone.now())
    word = edda(today).link.word
    url = reverse("card-trough", args=[word, today.station.letter])
    assert "Seen, on it" in client.get(url).content.decode()
    seen = reverse("card-trough-seen", args=[word, today.station.letter])
    for key in Alarm.objects.values_list("key", flat=True):
        client.post(seen, {"key": key})
    assert "Seen by Edda" in client.get(url).content.decode()


@pytest.mark.parametrize(
    ("path_of", "topics"),
    [
        (lambda step: reverse("card", args=[edda(step).link.word]), "plan clock swap"),
        (lambda step: reverse("card-board", args=[edda(step).link.word]), "plan clock dip alarm"),
        (
            lambda step: reverse("card-trough", args=[edda(step).link.word, step.station.letter]),
            "dip alarm",
        ),
    ],
)
def test_an_open_page_listens_to_what_it_shows(
    client: Client, today: Step, path_of: Callable[[Step], str], topics: str
) -> None:
    """And knows where to poll, and the farm's own time."""
    page = client.get(path_of(today)).content.decode()
    assert f'data-topics="{topics}"' in page
    assert "data-look=" in page
    assert "data-now-ms=" in page
