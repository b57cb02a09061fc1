"""Every page in a real browser: axe's rules at AA, the keyboard alone, large text, few bytes.

The rules are axe-core's for WCAG 2.0 to 2.2, levels A and AA.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from axe_core_python.sync_playwright import Axe  # type: ignore[import-untyped]  # ships no types
from playwright.sync_api import Browser, Page, sync_playwright

from tests.conftest import missing
from tests.pages.every_page import WORD
from tests.pages.test_walk import CHROMIUM, DESK, PHONE, QUIET
from tests.storage.site import site as site_of

pytestmark = pytest.mark.browser

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    },
    "resultTypes": ["violations"],
}
CARD_KB = 150


@dataclass
class Site:
    """A running site with something of every kind, and the addresses of its pages."""

    address: str
    pages: list[str]
    card: str
    slug: str


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    if not Path(CHROMIUM).exists():
        missing("Chromium")
    with site_of(tmp_path_factory.mktemp("var")) as found:
        made = found.ask("tests.pages.every_page")
        found.start("web server")
        found.start("background worker")
        found.wait()
        yield Site(f"http://127.0.0.1:{found.port}", made["pages"], made["card"], made["slug"])


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


@pytest.fixture
def page(site: Site, browser: Browser) -> Iterator[Page]:
    """A desk's browser, signed in as the organizer."""
    context = browser.new_context(viewport=DESK, base_url=site.address, reduced_motion="reduce")
    made = context.new_page()
    made.goto("/sign-in/")
    made.fill("[name=username]", "organizer")
    made.fill("[name=password]", WORD)
    made.click("main button:has-text('Sign in')")
    made.wait_for_url(f"{site.address}/")
    yield made
    context.close()


def wide_parts(page: Page) -> str:
    """What makes the page scroll sideways, or nothing."""
    return str(
        page.evaluate(
            """() => {
            const over = document.documentElement.scrollWidth - window.innerWidth;
            if (over <= 0) return "";
            const wide = [...document.querySelectorAll("main *")].filter(
              part => part.getBoundingClientRect().right > window.innerWidth + 1);
            const last = wide[wide.length - 1];
            return over + " px: " + (last ? last.tagName + "." + last.className : "");
            }"""
        )
    )


def test_every_page_keeps_the_rules_fits_large_text_and_stands_still(
    page: Page, site: Site
) -> None:
    """axe finds nothing; at 200 % of a desk's 1280 px nothing scrolls sideways; nothing moves."""
    axe, wrong, wide, moving = Axe(), {}, {}, []
    for address in site.pages:
        page.set_viewport_size(DESK)
        page.goto(address, wait_until="domcontentloaded")
        found = axe.run(page, options=RULES)["violations"]
        if found:
            wrong[address] = [(one["id"], one["nodes"][0]["html"][:120]) for one in found]
        if page.evaluate("document.getAnimations().filter(a => a.playState == 'running').length"):
            moving.append(address)
        page.set_viewport_size({"width": 640, "height": 450})  # what 200 % leaves of 1280 x 900
        is_paper = address.endswith("/print/sheets/")  # as wide as paper: WCAG 1.4.10 excepts it
        if (parts := wide_parts(page)) and not is_paper:
            wide[address] = parts
    assert len(site.pages) > 60
    assert wrong == {}
    assert wide == {}
    assert moving == []


def test_in_forced_colours_every_button_has_an_edge(page: Page, site: Site) -> None:
    """Backgrounds are taken away there; what can be pressed must still look so."""
    page.emulate_media(forced_colors="active")
    for address in (f"/w/{site.slug}/day/1/morning/", f"/w/{site.slug}/trough/T/", site.card):
        page.goto(address)
        bare = page.evaluate(
            """[...document.querySelectorAll("main .button, main button")].filter(part =>
            part.offsetParent && parseFloat(getComputedStyle(part).borderTopWidth) === 0)
            .map(part => part.outerHTML.slice(0, 120))"""
        )
        assert bare == [], address


def tab_to(page: Page, words: str) -> None:
    """Press Tab until what bears these words has the focus, and see that it shows."""
    for _press in range(400):
        page.keyboard.press("Tab")
        said = page.evaluate(
            """() => { const part = document.activeElement;
            return (part.innerText || part.getAttribute("aria-label") || "").trim(); }"""
        )
        if re.fullmatch(words, said):
            ring = page.evaluate(
                "() => { const look = getComputedStyle(document.activeElement);"
                "return look.outlineStyle !== 'none' || look.boxShadow !== 'none'; }"
            )
            assert ring, f"no ring around {said}"
            return
    raise AssertionError(f"Tab never came to {words}.")


def test_the_morning_is_posted_with_the_keyboard_alone(site: Site, browser: Browser) -> None:
    """From the sign-in to the posted plan: Tab, Enter and letters."""
    context = browser.new_context(viewport=DESK, base_url=site.address)
    page = context.new_page()
    page.goto("/sign-in/")
    assert page.evaluate("document.activeElement.name") == "username"
    page.keyboard.type("organizer")
    page.keyboard.press("Tab")
    page.keyboard.type(WORD)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{site.address}/")
    tab_to(page, f"Course {site.slug}")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/w/{site.slug}/")
    tab_to(page, "Morning")
    page.keyboard.press("Enter")
    page.wait_for_url("**/morning/")
    post = page.get_by_role("button", name="Post for everyone")
    if post.count() == 0:
        tab_to(page, "Start a draft")
        page.keyboard.press("Enter")
        post.wait_for()
    page.wait_for_load_state()
    tab_to(page, "Post for everyone")
    page.keyboard.press("Enter")
    page.wait_for_selector(".messages")
    assert "osted" in page.inner_text(".messages")
    context.close()


def test_a_card_comes_in_few_bytes(site: Site, browser: Browser) -> None:
    """The first load on a phone, page and files, as they come over the wire."""
    context = browser.new_context(viewport=PHONE, base_url=site.address)
    page = context.new_page()
    page.goto(site.card, wait_until="load")
    sizes = page.evaluate(
        """[..."navigation resource".split(" ").flatMap(kind => performance.getEntriesByType(kind))]
        .map(one => [one.name.split("/").pop(), one.transferSize])"""
    )
    context.close()
    assert len(sizes) > 5
    assert sum(size for _name, size in sizes) < CARD_KB * 1000, sizes
