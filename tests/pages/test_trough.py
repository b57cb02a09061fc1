"""One dip on two phones at once, in a real browser: the thermometer's and the timer's."""

from __future__ import annotations

import csv
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests import migrated
from tests.conftest import missing
from tests.pages.test_walk import CHROMIUM, DESK, PHONE, QUIET, ROOT, free_port, until_well

pytestmark = pytest.mark.browser
LEAST_TOUCH_PX = 56


@dataclass
class Site:
    """The running site and the private links of the two."""

    address: str
    links: dict[str, str]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """A course of today in a folder of its own, served for as long as this file runs."""
    if not Path(CHROMIUM).exists():
        missing("Chromium")
    var = tmp_path_factory.mktemp("var")
    environment = os.environ | {"GAMBREL_VAR": str(var), "DEBUG": "1"}

    def run(*words: str) -> str:
        return subprocess.run(
            [sys.executable, *words], cwd=ROOT, env=environment, check=True, capture_output=True,
            text=True,
        ).stdout  # fmt: skip

    migrated.copy_into(var)
    links = json.loads(run("-m", "tests.pages.trough_course"))
    port = free_port()
    with (var / "web.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "runserver", f"127.0.0.1:{port}", "--noreload",
             "--insecure"],
            cwd=ROOT, env=environment, stdout=log, stderr=log,
        )  # fmt: skip
        try:
            until_well(f"http://127.0.0.1:{port}", 180)
            yield Site(f"http://127.0.0.1:{port}", links)
        finally:
            process.terminate()
            process.wait(timeout=30)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


def phone_of(browser: Browser, site: Site, duty: str) -> Page:
    """The person's card, and through its button the trough."""
    page = browser.new_context(viewport=PHONE, base_url=site.address).new_page()
    page.set_default_timeout(15_000)
    page.goto(site.links[duty])
    page.get_by_role("link", name="At the trough").click()
    return page


def type_reading(page: Page, keys: str) -> None:
    for key in keys:
        page.locator(f"[data-pad] [data-key='{key}']").click()
    page.get_by_role("button", name="Write it down").click()


def says(page: Page, words: str) -> None:
    """The last line of what was noted, on this phone, within a few looks at the server."""
    expect(page.locator(".trough-last")).to_contain_text(words, timeout=15_000)


def check_a_wet_thumb_can_press(page: Page) -> None:
    small = page.evaluate(
        "least => [...document.querySelectorAll('main button, main summary, main .choice')]"
        ".filter(part => part.offsetParent && part.getBoundingClientRect().height < least)"
        ".map(part => part.textContent.trim())",
        LEAST_TOUCH_PX,
    )
    assert small == []
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0


def start_the_dip(page: Page) -> None:
    """An impossible strike is asked about and mended; then the hog is in."""
    page.fill("[name=strike_c]", "69")
    page.get_by_role("button", name="In water").click()
    expect(page.locator("[role=alert]")).to_contain_text("no published scald starts")
    page.fill("[name=strike_c]", "157")
    page.get_by_role("button", name="In water").click()
    expect(page.locator("#trough-top")).to_be_visible()


def note_on_both(thermometer: Page, timer: Page) -> None:
    """What one writes the other reads."""
    thermometer.locator("summary", has_text="Reading").click()
    type_reading(thermometer, "154.5")
    says(thermometer, "Reading 154.5 °F, Edda")
    says(timer, "Reading 154.5 °F, Edda")
    expect(timer.locator(".trough-number").first).to_have_text("154.5")
    timer.get_by_role("button", name="Hot bucket in").click()
    says(thermometer, "Hot bucket in, Bo")
    timer.get_by_role("button", name="Rolled").click()
    says(thermometer, "Rolled, Bo")
    timer.locator("summary", has_text="Hair").click()
    timer.get_by_label("back").check()
    check_a_wet_thumb_can_press(timer)
    timer.get_by_role("button", name="Slips").click()
    says(thermometer, "Hair slips: back, Bo")
    thermometer.locator(".trough-last").get_by_role("button", name="Undo").click()
    says(timer, "Rolled, Bo")


def read_below_the_floor(thermometer: Page, timer: Page) -> None:
    """140 F so soon is asked about; twice confirmed it is believed, and both phones alarm."""
    for count in (1, 2):
        type_reading(thermometer, "140")
        question = thermometer.locator(".trough-question")
        expect(question).to_contain_text("a trough does not change that fast")
        check_a_wet_thumb_can_press(thermometer)
        question.get_by_role("button", name="Yes, I did read that").click()
        expect(question).to_have_count(0)
        noted = thermometer.locator(".trough-noted summary")
        expect(noted).to_contain_text(f"({3 + count})", timeout=15_000)
    for page in (thermometer, timer):
        expect(page.locator(".trough-alarm")).to_contain_text("Below the floor", timeout=15_000)
        expect(page.locator("#trough-top")).to_have_attribute("data-alarm", "below")
        expect(page.locator(".trough-action")).to_contain_text("hot bucket")


def test_one_dip_on_two_phones(browser: Browser, site: Site) -> None:
    """From the card to the CSV: readings merge, an undo shows on both, the floor alarms, out."""
    thermometer = phone_of(browser, site, "Thermometer")
    start_the_dip(thermometer)
    timer = phone_of(browser, site, "Timer")
    wrong: list[str] = []
    for page in (thermometer, timer):
        page.on("pageerror", lambda error: wrong.append(str(error)))
    clock = timer.locator("[data-since]")
    before = clock.inner_text()
    note_on_both(thermometer, timer)
    assert clock.inner_text() != before
    thermometer.get_by_role("button", name="Sound off").click()
    read_below_the_floor(thermometer, timer)
    expect(thermometer.locator("[data-sound]")).to_have_text("Sound on")
    timer.get_by_role("button", name="Out", exact=True).click()
    for page in (timer, thermometer):
        expect(page.locator(".trough-before")).to_contain_text("Hog 12", timeout=15_000)
    assert wrong == []
    read_the_csv(browser, site)


def read_the_csv(browser: Browser, site: Site) -> None:
    """The lead saves the record: every entry is there, the one taken back marked as such."""
    page = browser.new_context(viewport=DESK, base_url=site.address).new_page()
    page.goto("/sign-in/")
    page.fill("[name=username]", "lead")
    page.fill("[name=password]", "correct horse")
    page.click("main button:has-text('Sign in')")
    page.wait_for_url("**/")
    page.goto("/w/winter/hogs/")
    page.get_by_role("link", name=re.compile("Hog 12")).click()
    page.get_by_role("link", name="Its dips in the trough").click()
    assert "Hog 12" in page.inner_text("h1")
    with page.expect_download() as saving:
        page.get_by_role("link", name="Save as CSV").click()
    rows = list(csv.DictReader(StringIO(Path(saving.value.path()).read_text())))
    kinds = [row["kind"] for row in rows]
    assert sorted(kinds) == sorted(
        ["reading", "pour", "roll", "hair_test", "undo", "reading", "reading", "out"]
    )
    gone = [row["kind"] for row in rows if row["taken_back"]]
    assert gone == ["hair_test"]
    assert {row["who"] for row in rows} == {"Edda", "Bo"}


def test_without_a_script_every_button_still_writes(browser: Browser, site: Site) -> None:
    """Plain forms and whole pages."""
    context = browser.new_context(viewport=PHONE, base_url=site.address, java_script_enabled=False)
    page = context.new_page()
    page.goto(site.links["Timer"])
    page.get_by_role("link", name="At the trough").click()
    page.fill("[name=strike_c]", "156")
    page.get_by_role("button", name="In water").click()
    page.get_by_role("button", name="Rolled").click()
    says(page, "Rolled, Bo")
    page.locator("summary", has_text="Reading").click()
    page.fill("[name=water_c]", "1470")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_role("button", name="Yes, I did read that").click()
    says(page, "Reading 1470.0 °F, Bo")
    page.locator(".trough-last").get_by_role("button", name="Undo").click()
    says(page, "Rolled, Bo")
    page.get_by_role("button", name="Out", exact=True).click()
    assert "Undo: it is still in" in page.inner_text("main")
    context.close()
