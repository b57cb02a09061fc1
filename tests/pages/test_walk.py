"""The main job in a real browser against the whole running system: web, worker and clock.

Sign in, drop one attendee in the morning, place, post, open a card on a phone, print, read back.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from pypdf import PdfReader

from tests import migrated
from tests.conftest import missing

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium") or "chromium"
# Chromium asks for its maker's hosts at the start otherwise; nothing outside is to be asked.
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
COURSE = "/w/winter-hog-course"
PHONE: ViewportSize = {"width": 390, "height": 844}
DESK: ViewportSize = {"width": 1280, "height": 900}

pytestmark = pytest.mark.browser


@dataclass
class Running:
    """A running Gambrel: its address and the demo's passwords."""

    address: str
    passwords: dict[str, str]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until_well(address: str, seconds: float) -> None:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        try:
            with urllib.request.urlopen(f"{address}/health/", timeout=2) as answer:
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(0.3)
    pytest.fail(f"{address} did not answer within {seconds} s.")


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """What ``./dev run`` starts, in a folder of its own, with the demo course planned."""
    if not Path(CHROMIUM).exists():
        missing("Chromium")
    var = tmp_path_factory.mktemp("var")
    environment = os.environ | {"GAMBREL_VAR": str(var), "DEBUG": "0"}
    environment.pop("DJANGO_SETTINGS_MODULE", None)

    def manage(*words: str) -> None:
        subprocess.run([sys.executable, "manage.py", *words], cwd=ROOT, env=environment, check=True)

    migrated.copy_into(var)
    manage("collectstatic", "--noinput", "-v0")
    manage("demo")
    port = free_port()
    log = (var / "up.log").open("w")
    process = subprocess.Popen(
        [sys.executable, "manage.py", "up", "--host", "127.0.0.1", "--port", str(port)],
        cwd=ROOT, env=environment, stdout=log, stderr=log,
    )  # fmt: skip
    try:
        address = f"http://127.0.0.1:{port}"
        until_well(address, 180)
        found = re.findall(r"(organizer|lead|helper)\W+(\S+)", (var / "sign-ins.txt").read_text())
        yield Running(address, dict(found))
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=30)
        log.close()
        shutil.rmtree(var, ignore_errors=True)


@pytest.fixture(scope="module")
def browser(running: Running) -> Iterator[Browser]:
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


@pytest.fixture
def page(browser: Browser, running: Running) -> Iterator[Page]:
    """A page that fails the test if the browser complains or anything outside is asked for."""
    context = browser.new_context(viewport=DESK, accept_downloads=True, base_url=running.address)
    made = context.new_page()
    wrong: list[str] = []
    made.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    made.on(
        "request",
        lambda asked: (
            wrong.append(asked.url)
            if not asked.url.startswith((running.address, "data:"))
            else None
        ),
    )
    yield made
    context.close()
    assert wrong == []


def sign_in(page: Page, running: Running, who: str) -> None:
    page.goto("/sign-in/")
    page.fill("[name=username]", who)
    page.fill("[name=password]", running.passwords[who])
    page.click("main button:has-text('Sign in')")
    page.wait_for_url("**/")


def read_a_card(page: Page) -> None:
    """An attendee's card at the size of a phone."""
    page.goto(f"{COURSE}/people/")
    page.click("a:has-text('Anders')")
    card = page.locator("a[href^='/card/'], a[href*='/card/']").first.get_attribute("href")
    assert card is not None
    page.set_viewport_size(PHONE)
    page.goto(card)
    text = page.inner_text("main")
    for words in ("Now", "Next", "What you get to try", "First aid"):
        assert words in text
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0


def print_and_read_back(page: Page, running: Running) -> None:
    """The first day's PDF, made by the worker."""
    page.set_viewport_size(DESK)
    page.goto(f"{COURSE}/print/")
    row = page.locator(".sheet-item").first
    row.get_by_role("button", name="Make the PDF").click()
    opened = page.get_by_role("link", name="Open the PDF of version 2")
    opened.wait_for(timeout=90_000)
    address = opened.get_attribute("href")
    made = page.context.request.get(f"{running.address}{address}")
    sheets = PdfReader(io.BytesIO(made.body())).pages
    assert "Kill to chill" in sheets[0].extract_text()
    everything = " ".join(sheet.extract_text() for sheet in sheets)
    assert "Chains" in everything
    assert "fore-left" in everything


def test_the_lead_s_morning_from_sign_in_to_paper(page: Page, running: Running) -> None:
    """One attendee stays away; the crews are placed again, posted, seen on a phone, printed."""
    sign_in(page, running, "lead")
    page.goto(f"{COURSE}/day/1/morning/")
    someone = page.locator(".attendance-row:has-text('Chidi')")
    someone.get_by_label("away today").check()
    page.click("button:has-text('Place crews')")
    # The worker does it; the page asks each second and comes anew at the end.
    page.get_by_role("button", name="Post for everyone").wait_for(timeout=90_000)
    page.wait_for_function("!document.querySelector('.job.is-running')", timeout=90_000)
    page.goto(f"{COURSE}/day/1/morning/")
    assert "change" in page.locator("#changed").locator("..").inner_text()
    assert page.locator(".placements td:first-of-type:has-text('Chidi')").count() == 0
    page.click("button:has-text('Post for everyone')")
    assert "Posted, with" in page.inner_text(".messages")
    read_a_card(page)
    print_and_read_back(page, running)


def write_ramp(page: Page, degrees: str) -> None:
    """The trough's ramp, on the equipment page."""
    page.goto(f"{COURSE}/equipment/")
    page.get_by_role("link", name="ramp, hoist and chains of Trough").click()
    page.get_by_label("ramp, degrees from level").fill(degrees)
    page.get_by_role("button", name="Save", exact=True).click()
    assert "Trough: saved." in page.inner_text(".messages")


def test_a_lock_past_a_screen_is_asked_for_on_a_phone(page: Page, running: Running) -> None:
    """Without a ramp nobody may hold the heaviest hog; the lead is asked, and it is kept."""
    page.set_viewport_size(PHONE)
    sign_in(page, running, "lead")
    write_ramp(page, "")
    page.goto(f"{COURSE}/day/1/morning/")
    page.get_by_role("button", name="Start a draft").click()
    scald = page.locator("article.step:has-text('Scald, Hog 35')")
    drawing = scald.locator("svg[role=img]")
    assert "seen from above" in (drawing.text_content() or "")
    box = drawing.bounding_box()
    assert box is not None
    assert box["width"] <= PHONE["width"]
    assert "nothing here brings it within the screens" in scald.inner_text()
    scald.locator("tr:has-text('Chains, fore-left')").get_by_role("button", name="Lock").click()
    assert "would bear" in page.inner_text("[role=alert]")
    page.get_by_label("Why, in a few words").fill("The tractor stands by.")
    page.get_by_role("button", name="I have looked; place them anyway").click()
    assert "Your override is kept with your name." in page.inner_text(".messages")
    told = page.locator("article.step:has-text('Scald, Hog 35')").inner_text()
    assert "Lead's override." in told
    assert "The tractor stands by." in told
    write_ramp(page, "14")


def test_the_run_sheet_on_a_phone(page: Page, running: Running) -> None:
    """Names stand still beside the chart; a bar tells who and why; a pin is set and let go."""
    page.set_viewport_size(PHONE)
    sign_in(page, running, "lead")
    page.goto(f"{COURSE}/day/1/run-sheet/")
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    page.locator("#chart .chart-scroll").evaluate("element => { element.scrollLeft = 900 }")
    names = page.locator("#chart .chart-names").bounding_box()
    assert names is not None
    assert names["x"] >= 0
    bar = page.locator("#chart a:has(title:text-matches('^Scrape.*'))").first
    bar.evaluate("element => element.scrollIntoView({ block: 'center', inline: 'center' })")
    bar.click()
    panel = page.locator(".step-panel:target")
    for words in ("Who", "Why now", "It follows scald", "Slack"):
        assert words in panel.inner_text()
    panel.get_by_role("button", name="Pin at").click()
    assert "Pinned: it keeps its time" in page.inner_text(".messages")
    page.get_by_role("link", name="Who, why and when: Scrape").first.click()
    panel.get_by_role("button", name="Unpin").click()
    page.get_by_role("link", name="Who, why and when: Scrape").first.click()
    panel.get_by_role("link", name="Close").click()
    assert panel.count() == 0
    text = page.inner_text("main")
    for words in ("When the day will be over", "Promise", "Before the day", "dark by"):
        assert words in text
