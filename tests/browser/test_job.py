"""A real browser on a real desk: typing, touch, keys, three widths, and not one request that leaves the machine."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PATIENCE_MS, WIDTHS
from tests.browser.steps import proved


def test_a_wrong_answer_a_right_one_and_a_closed_tab(page: Page) -> None:
    page.goto("/job/1/brief/site")
    proved(page)
    field = page.get_by_label("outlet: rating of the socket")
    field.fill("12 kg")
    expect(page.locator(".fault", has_text="'12 kg' is not a current")).to_be_visible(timeout=PATIENCE_MS)
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("20 A")
    expect(page.locator(".fault:visible")).to_have_count(0, timeout=PATIENCE_MS)
    proved(page)
    page.reload()
    proved(page)
    expect(page.get_by_label("outlet: rating of the socket")).to_have_value("20 A")
    expect(page.locator(".kept")).to_contain_text("draft on revision")
    page.get_by_role("button", name="Keep").click()
    expect(page.locator(".kept")).to_have_text("revision 2")


def test_a_verdict_and_a_figure_open_by_the_keyboard_alone(page: Page) -> None:
    page.goto("/job/1/brief")
    proved(page)
    promise = page.locator(".promise").first
    promise.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".panel h2")).to_be_visible()
    expect(page.locator(".panel").get_by_role("button", name="Close")).to_be_focused()
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.classList.contains('figurelink')"):
            break
    page.keyboard.press("Enter")
    expect(page.locator(".panel dl.facts")).to_contain_text("Source")
    page.keyboard.press("Escape")
    expect(page.locator(".panel")).to_be_hidden()


def test_a_part_put_in_by_touch_moves_the_price(browser: Browser, home: str) -> None:
    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True, base_url=home)
    page = context.new_page()
    page.goto("/job/1/build")
    proved(page)
    before = page.locator(".strip .price b").inner_text()
    page.locator("summary", has_text="Power pack").tap()
    page.get_by_role("button", name="Put in instead: Power pack, single phase, 15 A").tap()
    expect(page.get_by_text("The last change moved")).to_be_visible(timeout=PATIENCE_MS)
    assert page.locator(".strip .price b").inner_text() != before
    assert page.locator("details[open]").count() == 1
    context.close()


@pytest.mark.parametrize("width", WIDTHS)
def test_no_page_is_wider_than_its_window_and_targets_are_large_enough(browser: Browser, home: str, width: str) -> None:
    across, down = WIDTHS[width]
    context = browser.new_context(viewport={"width": across, "height": down}, base_url=home)
    page = context.new_page()
    for address in ("/", "/job/1/brief/mob", "/job/1/brief/promise", "/job/1/build", "/job/1/past", "/job/1/fit"):
        page.goto(address)
        page.wait_for_selector("h1")
        if address != "/":
            proved(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= across, address
        small = page.evaluate(
            "[...document.querySelectorAll('button:not(.figurelink), input, select, nav a, summary')]"
            ".filter(e => e.offsetParent && e.type !== 'checkbox' && e.getBoundingClientRect().height < 43.5)"
            ".map(e => e.outerHTML.slice(0, 120))"
        )
        assert small == [], address
    context.close()


def test_the_page_is_set_in_our_own_type_from_this_machine(page: Page) -> None:
    page.goto("/")
    page.wait_for_selector("h1")
    page.evaluate("document.fonts.ready")
    loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")
    assert any("Barlow" in family for family in loaded)
    assert page.evaluate("document.fonts.check('16px Barlow')")
