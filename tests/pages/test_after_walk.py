"""One hog on a phone, in a real browser: hung, probed, weighed, cut, its ham cured and cooked."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests import migrated
from tests.conftest import missing
from tests.pages.test_walk import CHROMIUM, PHONE, QUIET, ROOT, free_port, until_well

pytestmark = pytest.mark.browser
LEAST_TOUCH_PX = 48


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The running site, in a folder of its own."""
    if not Path(CHROMIUM).exists():
        missing("Chromium")
    var = tmp_path_factory.mktemp("var")
    environment = os.environ | {"GAMBREL_VAR": str(var), "DEBUG": "1"}
    migrated.copy_into(var)
    subprocess.run(
        [sys.executable, "-m", "tests.pages.after_course"], cwd=ROOT, env=environment, check=True
    )
    port = free_port()
    with (var / "web.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "runserver", f"127.0.0.1:{port}", "--noreload",
             "--insecure"],
            cwd=ROOT, env=environment, stdout=log, stderr=log,
        )  # fmt: skip
        try:
            until_well(f"http://127.0.0.1:{port}", 180)
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            process.wait(timeout=30)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def key_in(page: Page, url: str, keys: str) -> None:
    """With the keys of the form that goes to ``url``, as a gloved hand does it."""
    form = page.locator(f"form[action$='{url}']")
    for key in keys:
        form.locator(f"[data-key='{key}']").click()


def write_down(page: Page, url: str) -> None:
    page.locator(f"form[action$='{url}']").get_by_role("button", name="Write it down").click()


def check_a_wet_thumb_can_press(page: Page) -> None:
    small = page.evaluate(
        "least => [...document.querySelectorAll('main button, main summary, main .choice')]"
        ".filter(part => part.offsetParent && part.getBoundingClientRect().height < least)"
        ".map(part => part.textContent.trim())",
        LEAST_TOUCH_PX,
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0


def sign_in(page: Page) -> None:
    page.goto("/sign-in/?next=/w/winter/after/")
    page.fill("[name=username]", "lead")
    page.fill("[name=password]", "correct horse")
    page.locator("main button[type=submit]").click()
    expect(page.get_by_role("heading", name="After the kill", level=1)).to_be_visible()


def hang_and_probe(page: Page) -> None:
    """Hung in the cold of a winter's night; the first reading is judged as it is written."""
    page.goto("/w/winter/chill/")
    page.get_by_role("link", name="Hog 12").click()
    page.fill("[name=killed_at]", "2026-01-11T08:00")
    page.fill("[name=hung_at]", "2026-01-11T10:00")
    page.fill("[name=air_1]", "34")
    check_a_wet_thumb_can_press(page)
    press(page, "Keep it")
    expect(page.locator("main svg")).to_be_visible()
    key_in(page, "/read/", "39.5")
    page.locator("summary", has_text="Not now, but before").click()
    page.fill("[name=when]", "2026-01-12T05:00")
    check_a_wet_thumb_can_press(page)
    write_down(page, "/read/")
    expect(page.locator(".judged").first).to_contain_text("is 21 h, at most 24 h")


def weigh_and_cut(page: Page) -> None:
    """Hot, cold, a ham: each stage is held against the one before."""
    page.get_by_role("link", name="Its weights and cuts").click()
    for stage, keys in (("hot", "190"), ("cold", "186")):
        page.locator("summary", has_text="A carcass or a side").click()
        form = page.locator("form[action$='/carcass/']")
        form.locator("[name$=stage]").select_option(stage)
        key_in(page, "/carcass/", keys)
        check_a_wet_thumb_can_press(page)
        write_down(page, "/carcass/")
        expect(page.locator(".message").first).to_contain_text("ritten")
    page.locator("summary", has_text="A cut").click()
    page.locator("form[action$='/cut/'] [name$=part]").select_option("ham")
    key_in(page, "/cut/", "17.6")
    write_down(page, "/cut/")
    expect(page.get_by_role("row", name=re.compile("^Cold to cuts"))).to_contain_text("186.0 lb")


def cure_the_ham(page: Page) -> None:
    """Too much is refused, the right grams are kept, what was weighed in is judged."""
    page.goto("/w/winter/cures/new/")
    page.fill("[name=name]", "Left ham")
    page.fill("[name=weighed_kg]", "17.6")
    page.fill("[name=heaviest_kg]", "17.6")
    page.fill("[name=ppm]", "700")
    press(page, "Work it out")
    expect(page.locator("main [role=alert]").first).to_contain_text("700 ppm, at most 625 ppm")
    expect(page.locator("[name=name]")).to_have_value("Left ham")
    page.fill("[name=ppm]", "156")
    press(page, "Work it out")
    expect(page.locator(".grams-figure").first).to_have_text("19.9 g")
    press(page, "Keep this batch")
    expect(page.get_by_role("heading", name="Left ham", level=1)).to_be_visible()
    page.locator("[name=act_done]").select_option("weighed")
    key_in(page, "/note/", "19.9")  # 0.0199 kg x 62500 ppm / 7.983 kg = 155.8 ppm
    check_a_wet_thumb_can_press(page)
    write_down(page, "/note/")
    expect(page.locator(".judged").first).to_contain_text("nitrite is 155.8 ppm")
    page.goto("/w/winter/cures/")
    expect(page.locator(".after-row")).to_contain_text("In the cure until")


def cook_it(page: Page) -> None:
    """Not enough is said at once; the heat that its rule asks is within."""
    page.goto("/w/winter/cooking/")
    page.fill("[name=name]", "The cured ham")
    page.locator("[name=rule]").select_option("cook_ham")
    press(page, "Open the log")
    for keys, words in (("150", "Not yet decided"), ("165", "Within the limit")):
        key_in(page, "/read/", keys)
        write_down(page, "/read/")
        expect(page.locator(".judged-words").first).to_contain_text(words)
    press(page, "Finished")
    expect(page.locator(".judged-words").first).to_contain_text("Within the limit")


def test_a_hog_goes_from_the_cold_room_to_a_cured_ham(browser: Browser, address: str) -> None:
    """By the lead's thumb alone, on a phone."""
    page = browser.new_context(viewport=PHONE, base_url=address).new_page()
    page.set_default_timeout(10_000)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    sign_in(page)
    hang_and_probe(page)
    weigh_and_cut(page)
    cure_the_ham(page)
    cook_it(page)
    page.goto("/w/winter/after/")
    expect(page.locator("main")).to_contain_text("Left ham")
    assert wrong == []
