"""Every page of the site, tried as every role, from another course, and in two sizes."""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import path, reverse
from django.utils import timezone

from config.programs import programs
from tests import cast, whole_site
from tests.build import make_enrolment, make_link, make_workshop
from tests.whole_site import Site
from workshops import linking
from workshops.models import FeedLink, User
from workshops.models.links import new_seed, word_for

pytestmark = pytest.mark.django_db

# Who may open a page or do an act. A new page is written down here.
WHO: dict[str, set[str]] = {
    # Anyone, or anyone with the private link that is in the address.
    "anyone": {
        "sign-in", "sign-out", "sign-up", "sign-up-more", "sign-up-fewer", "sign-up-keep",
        "seat", "seat-take", "seat-withdraw", "seat-ask-again", "seat-accept-waiver",
        "seat-answers", "seat-calendar", "staff-calendar", "scald-at-home", "card", "card-heard",
        "card-board", "card-trough", "card-trough-start", "card-trough-check", "card-trough-now",
        "card-trough-read", "card-trough-pour-hot", "card-trough-pour-cold", "card-trough-roll",
        "card-trough-hair", "card-trough-out", "card-trough-mistake", "card-trough-undo", "health",
        "card-trough-seen", "card-share", "card-events", "card-events-now", "card-step-started",
        "card-step-paused", "card-step-resumed", "card-step-finished", "card-record",
        "card-certificate", "card-change", "card-swap-ask", "card-rest", "card-swap-yes",
        "card-swap-no", "card-swap-back",
    },
    # Whoever is signed in; the page holds what is theirs.
    "signed in": {"home"},
    "staff": {
        "workshop", "people", "hogs", "feed-renew", "equipment", "hog-dips", "hog-dips-csv",
        "run-sheet", "step-started", "step-finished", "step-back", "board", "troughs", "trough",
        "trough-start", "trough-check", "trough-now", "trough-read", "trough-pour-hot",
        "trough-pour-cold", "trough-roll", "trough-hair", "trough-out", "trough-mistake",
        "trough-undo", "trough-seen", "after", "after-now", "hog-after", "chill", "chill-night",
        "chill-hog", "chill-read", "chill-correct", "chill-take-back", "break-down",
        "break-down-hog", "weigh-carcass", "weigh-cut", "weigh-aside", "weigh-correct",
        "weigh-take-back", "cures", "cure", "cure-note", "cure-take-back", "food-logs",
        "food-open", "food-log", "food-read", "food-done", "food-sour", "food-mistake",
        "food-correct", "food-take-back", "packing", "packing-hog", "package-missing",
        "package-found", "package-mistake", "kitchen", "pantry", "events",
        "events-now", "alarm-seen", "step-paused", "step-resumed", "day-log", "log-add",
        "day-log-csv", "course-log-csv", "hog-log", "person-log", "record", "record-hog",
        "record-person", "certificate", "package-labels",
    },
    "leads": {
        "person-add", "person", "person-link-renew", "person-link-revoke", "bring-in",
        "bring-in-rows", "bring-in-apply", "bring-in-drop", "people-csv", "person-forget",
        "person-link-send", "course", "menu", "meal-remove", "owners", "owners-take-back",
        "treatments", "treatment-remove", "hog-add", "hog", "scald", "scald-plan", "scald-keep",
        "keep-counts", "keep-rest", "handling", "replan-day", "mark-as-planned", "move-step",
        "pin-step", "unpin-step", "plan-from-step", "post-day", "plan-course", "morning",
        "keep-attendance", "place-crews", "start-draft", "lock-placement", "unlock-placement",
        "choose-placement", "give-placement", "told", "history", "post-again",
        "override-placement", "print-room", "print-day", "print-sheets", "scald-times", "printed",
        "job", "chill-hang", "cut-plan", "cure-new", "cure-keep", "kitchen-add", "kitchen-menu",
        "kitchen-remove", "kitchen-off", "shares", "kind-wishes", "divide-hog", "division-post",
        "hand-over", "hand-back", "log-correct", "kitchen-batch", "keep-ranges",
        "drop-ranges", "day-asked", "break-add", "break-change", "break-remove", "absence-add",
        "absence-remove", "hours-add", "hours-remove", "method", "stage-change", "gap-add",
        "gap-change", "gap-remove", "kit-hold-add", "kit-hold-remove", "station-change",
        "station-twin",
        "swap-confirm", "swap-refuse",
    },
    "organizer": {
        "money", "account", "entry-reverse", "cost-add", "cost", "cost-remove", "clone",
        "everything", "backups", "back-up", "backup", "make-archive",
        "archive",
    },
}  # fmt: skip
ROLES = {
    "organizer": {"anyone", "signed in", "staff", "leads", "organizer"},
    "lead": {"anyone", "signed in", "staff", "leads"},
    "helper": {"anyone", "signed in", "staff"},
    "stranger": {"anyone", "signed in"},
    "nobody": {"anyone"},
}


@pytest.fixture
def site() -> Site:
    return whole_site.build()


def user_of(role: str, site: Site) -> User | None:
    """Somebody of that role."""
    match role:
        case "organizer":
            return cast.make_organizer()
        case "lead":
            return cast.make_lead(site.workshop)
        case "helper":
            return cast.make_helper(site.workshop)
        case "stranger":
            return cast.make_stranger()
    return None


def ask(client: Client, url: str, method: str) -> HttpResponse:
    """The answer of that method; what it changed is taken back, and nobody is signed out."""
    cookies = dict(client.cookies)
    with transaction.atomic():
        answer = getattr(client, method)(url)
        transaction.set_rollback(True)
    client.cookies.update(cookies)
    answer.close()  # a stream of changes listens until then
    return answer  # type: ignore[no-any-return]  # getattr knows no type


def asked(client: Client, url: str) -> HttpResponse:
    """The answer of the page; of an act, which takes no GET, the answer to a bare POST."""
    answer = ask(client, url, "get")
    return ask(client, url, "post") if answer.status_code == 405 else answer


def refused(answer: HttpResponse, role: str) -> bool:
    """Nobody is sent to sign in; a stranger learns nothing; staff are told."""
    if role == "nobody":
        sign_in = reverse("sign-in")
        return answer.status_code == 302 and answer["Location"].startswith(sign_in + "?next=")
    return answer.status_code in ({403, 404} if role == "stranger" else {403})


def test_every_page_says_who_may_open_it() -> None:
    """A new page comes with its place in the table above, once."""
    said = Counter(name for names in WHO.values() for name in names)
    assert set(said) == {name for name, _, _ in whole_site.pages()}
    assert set(said.values()) == {1}


@pytest.mark.parametrize("role", ROLES)
def test_each_role_opens_what_it_may_and_nothing_else(site: Site, role: str) -> None:
    """Every address, by the method that it takes."""
    client = cast.client_of(user_of(role, site))
    wrong = []
    for group, names in WHO.items():
        for name in sorted(names):
            may = group in ROLES[role]
            if name == "back-up" and may:
                continue  # it reads beside the transaction that is taken back here
            answer = asked(client, site.address(name))
            if refused(answer, role) == may or answer.status_code >= 500:
                wrong.append((name, answer.status_code))
    assert wrong == []


def test_a_row_is_found_under_its_own_course_alone(site: Site) -> None:
    """Even the organizer finds no hog, person, dip, step ... of one course at another's address."""
    client, other = cast.client_of(cast.make_organizer()), make_workshop(slug="other", days=0)
    wrong = []
    for name, _, parts in whole_site.pages():
        if "slug" in parts and len(parts) > 1:
            url = site.address(name).replace(f"/w/{site.workshop.slug}/", f"/w/{other.slug}/")
            answer = asked(client, url)
            if answer.status_code != 404:
                wrong.append((name, answer.status_code))
    assert wrong == []


def test_a_private_link_opens_no_row_of_another_course(client: Client, site: Site) -> None:
    """Nor of another household."""
    words = [make_link(make_enrolment(of)).word for of in (make_workshop(), site.workshop)]
    wrong = []
    for name, _, parts in whole_site.pages():
        if "word" in parts and len(parts) > 1:
            for word in words:
                url = site.address(name).replace(site.seat.link.word, word)
                answer = asked(client, url)
                if answer.status_code not in {403, 404}:
                    wrong.append((name, answer.status_code))
    assert wrong == []


def test_a_revoked_link_opens_nothing_at_any_door(client: Client, site: Site) -> None:
    """Every page that has a private link in its address."""
    pages = [name for name, _, parts in whole_site.pages() if "word" in parts]
    addresses = {name: site.address(name) for name in pages}
    linking.revoke(site.seat, now=timezone.now())
    linking.renew_feed(FeedLink.objects.get().staff)
    answers = {name: asked(client, url).status_code for name, url in addresses.items()}
    assert set(answers.values()) == {404}, answers


def test_no_private_link_reaches_a_log_from_any_page(
    client: Client, site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    """Neither on success nor on a refusal, a wrong method or an address that is cut off."""
    caplog.set_level(logging.INFO)
    secrets = {site.seat.link.word, site.others["staff-calendar", "word"]}
    for name, _, parts in whole_site.pages():
        if "word" in parts:
            for method in ("get", "post", "delete"):
                ask(client, site.address(name), method)
            ask(client, site.address(name) + "nothing/", "get")
    assert "Method Not Allowed (DELETE): /card/[private]/" in caplog.text
    assert not [word for word in secrets if str(word) in caplog.text]


def fail(request: HttpRequest, word: str) -> HttpResponse:
    """A page with a fault, whose words tell the address."""
    raise RuntimeError(request.path)


# A site of its own for the test of faults.
urlpatterns = [path("seat/<str:word>/", fail)]


@pytest.mark.urls(__name__)
def test_no_private_link_reaches_a_log_from_a_fault(client: Client) -> None:
    """Neither in the line nor in the trace, from Django or from the web server itself."""
    word = word_for(new_seed())
    client.raise_request_exception = False
    with said_aloud() as said:
        assert client.get(f"/seat/{word}/").status_code == 500
        logging.getLogger("gunicorn.error").error("Error handling %s", f"/card/{word}/")
    text = said.getvalue()
    assert "Internal Server Error: /seat/[private]/" in text
    assert "RuntimeError: /seat/[private]/" in text
    assert "Error handling /card/[private]/" in text
    assert word not in text


@contextmanager
def said_aloud() -> Iterator[io.StringIO]:
    """What the running site would tell on its output."""
    said = io.StringIO()
    spoken = {
        id(handler): handler
        for name in ("", "gunicorn.error")
        for handler in logging.getLogger(name).handlers
        if isinstance(handler, logging.StreamHandler) and handler.filters
    }
    before = [(handler, handler.setStream(said)) for handler in spoken.values()]
    try:
        yield said
    finally:
        for handler, stream in before:
            handler.setStream(stream)


def test_the_web_server_keeps_no_list_of_requests() -> None:
    """It would hold private links."""
    server = programs(host="127.0.0.1", port=1)[0]
    assert "gunicorn" in server.command
    assert not [word for word in server.command if "access" in word]


def test_no_page_costs_more_as_the_course_grows(site: Site) -> None:
    """The number of queries of each page, with a row or two of everything and with ten more."""
    client = cast.client_of(cast.make_organizer())
    client.get(reverse("home"))
    counts: list[dict[str, int]] = []
    for more in (1, 10):
        whole_site.grow(site, more)
        counts.append(queries(client, site))
    few, many = counts
    assert len(many) > 40
    assert {name: (few[name], many[name]) for name in many if many[name] != few[name]} == {}


def queries(client: Client, site: Site) -> dict[str, int]:
    """How many queries each page costs, of those that show something."""
    counted = {}
    for name, _, _ in whole_site.pages():
        with CaptureQueriesContext(connection) as caught:
            answer = client.get(site.address(name))
        answer.close()
        if answer.status_code == 200:
            counted[name] = len(caught)
    return counted
