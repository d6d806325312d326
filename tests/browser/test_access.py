"""Every page under axe-core's accessibility rules (WCAG 2 A and AA and its best practice), and text at AAA contrast."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import watched
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


@pytest.mark.parametrize("pages", [MAIN, pytest.param(PAGES, marks=pytest.mark.deep)], ids=["main", "all"])
def test_pages_keep_the_rules(page: Page, pages: tuple[str, ...]) -> None:
    wrong: dict[str, list[str]] = {}
    for address in pages:
        shown(page, address)
        found = broken_rules(page)
        if found:
            wrong[address] = found
    assert wrong == {}


@pytest.mark.deep
def test_an_open_reason_and_a_phone_keep_them_too(browser: Browser, home: str) -> None:
    with watched(browser, home, "phone", touch=True) as (_, page):
        shown(page, "/job/1/power")
        page.locator(".resting").first.tap()
        page.wait_for_selector(".panel h2")
        assert broken_rules(page) == []
