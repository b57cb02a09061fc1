"""A stranger signs up on a phone, and the waiting list moves by itself in the running system."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests import migrated
from tests.conftest import missing
from tests.pages.test_walk import CHROMIUM, PHONE, QUIET, ROOT, free_port, until_well

pytestmark = pytest.mark.browser

JOIN = "/join/winter-hog-course/"
# The demo course without its plan: the days are not needed here.
LOAD = (
    "from scheduling import demo; w = demo.load(demo.COURSE); demo.make_card_links(w); "
    "print(w.enrolments.get(attendee__given_name='Barnaby').link.seat_path)"
)
# What a person needs for a step, in seconds (from memory: Card, Moran and Newell's keystroke-level
# model for thinking and pointing; a published survey of typing on phones, about 36 words a minute).
THINK, POINT, LETTER = 1.35, 1.1, 60 / (36 * 5)
# A busy machine may take long over a page; no speed of it is measured here.
PATIENCE_MS = 120_000


@dataclass
class Stranger:
    """Somebody on a phone; counts the time that a person would have taken."""

    page: Page
    seconds: float = field(default=0.0)

    def write(self, name: str, words: str) -> None:
        """Type into a box."""
        self.page.fill(f"[name='{name}']", words)
        self.seconds += THINK + POINT + LETTER * len(words)

    def press(self, name: str) -> None:
        """Press a button and wait for the page."""
        self.page.get_by_role("button", name=name, exact=True).click()
        self.page.wait_for_load_state()
        self.seconds += THINK + POINT + 2

    def read(self, *parts: str) -> None:
        """Read these parts of the page, at 240 words a minute (from memory)."""
        for part in parts:
            self.seconds += len(self.page.inner_text(part).split()) / 4


@dataclass
class Site:
    """The running system: its address, its log, and one household's page."""

    address: str
    log: Path
    seat_path: str


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """Web, worker and clock, with the demo course, all of its seats taken."""
    if not Path(CHROMIUM).exists():
        missing("Chromium")
    var = tmp_path_factory.mktemp("var")
    environment = os.environ | {
        "GAMBREL_VAR": str(var), "DEBUG": "0", "DATABASE_URL": "", "GAMBREL_LINE_SECONDS": "3",
    }  # fmt: skip
    environment.pop("DJANGO_SETTINGS_MODULE", None)

    def manage(*words: str) -> str:
        ran = subprocess.run(
            [sys.executable, "manage.py", *words],
            cwd=ROOT, env=environment, check=True, capture_output=True, text=True,
        )  # fmt: skip
        return ran.stdout.strip()

    migrated.copy_into(var)
    seat_path = manage("shell", "-v0", "-c", LOAD).splitlines()[-1]
    port = free_port()
    log = var / "up.log"
    with log.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "up", "--host", "127.0.0.1", "--port", str(port)],
            cwd=ROOT, env=environment, stdout=out, stderr=out,
        )  # fmt: skip
        try:
            address = f"http://127.0.0.1:{port}"
            until_well(address, 180)
            yield Site(address, log, seat_path)
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=60)


@pytest.fixture(scope="module")
def browser(site: Site) -> Iterator[Browser]:
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


@pytest.fixture
def phone(browser: Browser, site: Site) -> Iterator[Page]:
    """A stranger's phone, without scripts: the form must not need them."""
    context = browser.new_context(viewport=PHONE, base_url=site.address, java_script_enabled=False)
    context.set_default_timeout(PATIENCE_MS)
    yield context.new_page()
    context.close()


def fill_in(stranger: Stranger) -> None:
    """Two people of one household."""
    page = stranger.page
    stranger.write("email", "ada.reed@example.org")
    stranger.write("phone", "555 0123 45")
    stranger.write("emergency_contact", "Wren Reed")
    stranger.write("emergency_phone", "555 0198 76")
    stranger.write("people-0-given_name", "Ada")
    stranger.write("people-0-family_name", "Reed")
    stranger.write("people-0-height", "67")
    stranger.write("people-0-lift", "50")
    page.get_by_text("Food: allergens and diet").first.click()
    page.get_by_label("peanuts").first.check()
    stranger.seconds += 2 * (THINK + POINT)
    stranger.write("people-0-signed_by", "Ada Reed")


def test_a_stranger_signs_up_on_a_phone_and_the_line_moves_by_itself(
    phone: Page, browser: Browser, site: Site
) -> None:
    """Under three minutes; then someone gives up a seat, and the worker offers it and writes."""
    stranger = Stranger(phone)
    phone.goto(JOIN)
    # The course and the waiver are read; the label of a box is part of thinking about the box.
    stranger.read("#course", "main .waiver")
    assert "All 14 seats are taken or promised." in phone.inner_text("main")
    fill_in(stranger)
    stranger.press("Sign up")
    assert "You are next on the waiting list." in phone.inner_text("main")
    assert stranger.seconds < 180

    other = browser.new_context(viewport=PHONE, base_url=site.address).new_page()
    other.set_default_timeout(PATIENCE_MS)
    other.goto(site.seat_path)
    other.get_by_role("button", name="We are not coming").click()
    assert "You hold no seat." in other.inner_text("main")

    until_the_page_says(phone, "Seats are kept for you.", 240)
    phone.get_by_role("button", name="Take the seats").click()
    assert "You are coming." in phone.inner_text("main")
    until_the_log_says(site.log, "Subject: A seat is free at Winter hog course", 240)
    said = site.log.read_text()
    assert "/seat/[private]/" in said
    assert phone.url.rstrip("/").rpartition("/")[2] not in said


def until_the_page_says(page: Page, words: str, seconds: float) -> None:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        page.reload()
        if words in page.inner_text("main"):
            return
        time.sleep(0.3)
    pytest.fail(f"After {seconds} s the page still says: {page.inner_text('main')}")


def until_the_log_says(log: Path, words: str, seconds: float) -> None:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if words in log.read_text():
            return
        time.sleep(0.3)
    pytest.fail(f"After {seconds} s the log holds no {words!r}: {log.read_text()[-2000:]}")
