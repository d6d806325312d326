"""Every page under axe-core's accessibility rules (WCAG 2 A and AA and its best practice), and text at AAA contrast."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import WIDTHS, watched
from tests.browser.steps import broken_rules, proved

#: A page of each kind; every page is looked at in the deep run.
MAIN = ("/", "/job/1/brief/mob", "/job/1/yard", "/job/1/power")
PAGES = (
    "/job/1/brief",
    "/job/1/brief/mob",
    "/job/1/brief/site",
    "/job/1/brief/promise",
    "/job/1/brief/today",
    "/job/1/brief/file",
    "/job/1/build",
    "/job/1/yard",
    "/job/1/fit",
    "/job/1/power",
    "/job/1/logic",
    "/job/1/flow",
    "/job/1/money",
    "/job/1/dossier",
    "/job/1/past",
    "/job/1/rehearsal",
)
WAIT = "document.body.innerText.includes('being drawn')"


def shown(page: Page, address: str) -> None:
    page.goto(address)
    page.wait_for_selector("h1")
    if address.startswith("/job/"):
        proved(page)
        page.wait_for_function(f"!({WAIT})")


def test_pages_keep_the_rules(page: Page) -> None:
    wrong: dict[str, list[str]] = {}
    for address in MAIN:
        shown(page, address)
        found = broken_rules(page)
        if found:
            wrong[address] = found
    assert wrong == {}


@pytest.mark.deep
@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_keeps_them_at_every_width_unfolded_and_with_its_panel_open(
    browser: Browser, home: str, width: str
) -> None:
    wrong: dict[str, list[str]] = {}
    with watched(browser, home, width, touch=width != "desk") as (_, page):
        for address in PAGES:
            shown(page, address)
            page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")
            found = broken_rules(page)
            for opens in (".strip .sum button", ".resting", "td .figurelink"):
                if page.locator(opens).first.is_visible():
                    page.locator(opens).first.click()
                    page.wait_for_selector(".panel h2")
                    found += broken_rules(page)
                    page.keyboard.press("Escape")
            if found:
                wrong[address] = found
    assert wrong == {}
