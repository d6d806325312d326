"""A full run in the background: it tells how far it is, is stopped and begun again, and the page never waits for it."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PATIENCE_MS, desk, watched
from tests.browser.steps import proved


def answers_within(page: Page, seconds: float) -> float:
    """Write an answer and give how long the page took to say that it is saved."""
    began = time.monotonic()
    page.get_by_label("title:").fill(f"Title {began:.3f}")
    expect(page.locator(".head .job")).to_have_text(f"Title {began:.3f}", timeout=seconds * 1000)
    return time.monotonic() - began


@pytest.mark.deep
def test_the_full_run_goes_on_in_the_background(browser: Browser, tmp_path: Path) -> None:
    with desk(tmp_path, full="full") as (home, _), watched(browser, home) as (_, page):
        page.goto("/job/1/brief")
        proved(page)
        bar = page.locator(".strip progress")
        expect(bar).to_be_visible(timeout=PATIENCE_MS)
        page.get_by_role("button", name="Stop", exact=True).click()
        expect(bar).to_be_hidden()
        expect(page.locator(".strip .progress")).to_contain_text("quick run")
        page.get_by_role("button", name="Run in full").click()
        expect(bar).to_be_visible()
        page.wait_for_function("document.querySelector('.strip progress')?.value > 0.1", timeout=PATIENCE_MS)
        answers_within(page, 5.0)
        proved(page)
        expect(bar).to_be_visible(timeout=PATIENCE_MS)
        expect(bar).to_be_hidden(timeout=PATIENCE_MS)
        expect(page.locator(".strip .progress")).to_be_hidden()
        page.goto("/job/1/power")
        expect(page.locator("summary", has_text="A day of the pack")).to_be_visible(timeout=PATIENCE_MS)
