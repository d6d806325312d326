"""Every page under axe-core's accessibility rules (WCAG 2 A and AA and its best practice), and text at AAA contrast."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import desk, watched
from tests.browser.steps import proved

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
)
WAIT = "document.body.innerText.includes('being drawn')"
OPTIONS: dict[str, Any] = {"resultTypes": ["violations"], "rules": {"color-contrast-enhanced": {"enabled": True}}}


def broken(page: Page) -> list[str]:
    """What axe finds, as lines to read."""
    found = Axe().run(page, options=OPTIONS).response["violations"]
    return [
        f"{rule['id']}: {node['html'][:160]} | {' '.join((node.get('failureSummary') or '').split())[:200]}"
        for rule in found
        for node in rule["nodes"][:4]
    ]


def shown(page: Page, address: str) -> None:
    page.goto(address)
    page.wait_for_selector("h1")
    if address.startswith("/job/"):
        proved(page)
        page.wait_for_function(f"!({WAIT})")


def test_pages_keep_the_rules(page: Page) -> None:
    wrong: dict[str, list[str]] = {}
    for address in ("/", *PAGES):
        shown(page, address)
        found = broken(page)
        if found:
            wrong[address] = found
    assert wrong == {}


def test_an_open_reason_and_a_phone_keep_them_too(browser: Browser, home: str) -> None:
    with watched(browser, home, "phone", touch=True) as (_, page):
        shown(page, "/job/1/power")
        page.locator(".resting").first.tap()
        page.wait_for_selector(".panel h2")
        assert broken(page) == []


@pytest.mark.deep
def test_the_login_and_the_customers_page_keep_them(browser: Browser, tmp_path: Path) -> None:
    with desk(tmp_path, password="a long invented password") as (home, _), watched(browser, home) as (_, page):
        page.goto("/")
        assert broken(page) == []
        page.get_by_label("Name").fill("Kim Example")
        page.get_by_label("Password").fill("a long invented password")
        page.get_by_role("button", name="Come in").click()
        shown(page, "/job/1/past")
        link = page.locator("a[href^='/show/']").get_attribute("href")
        assert link is not None
        page.goto(link)
        page.wait_for_selector("table")
        assert broken(page) == []
