"""A real browser on a real desk: typing, touch, keys, three widths, and not one request that leaves the machine."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PATIENCE_MS, WIDTHS, watched
from tests.browser.steps import proved

#: Pages of every kind, with everything on them unfolded.
WIDE = ("brief/mob", "brief/promise", "build", "past", "fit", "power", "logic", "money")


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


def test_a_part_put_in_by_touch_moves_the_price(tablet: Page) -> None:
    page = tablet
    page.goto("/job/1/build")
    proved(page)
    before = page.locator(".strip .price b").inner_text()
    page.locator("summary", has_text="Power pack").tap()
    page.get_by_role("button", name="Put in instead: Power pack, single phase, 15 A").tap()
    expect(page.get_by_text("The last change moved")).to_be_visible(timeout=PATIENCE_MS)
    assert page.locator(".strip .price b").inner_text() != before
    assert page.locator("details[open]").count() == 1


def test_a_number_in_a_table_opens_where_it_comes_from(page: Page) -> None:
    page.goto("/job/1/flow")
    proved(page)
    number = page.locator("td .figurelink").first
    number.focus()
    page.keyboard.press("Enter")
    opened = page.locator(".panel .bignumber")
    expect(opened).to_be_visible()
    shown, kept = (re.sub(r"[^\d.]", "", words) for words in (number.inner_text(), opened.inner_text()))
    assert float(kept) == pytest.approx(float(shown), rel=0.005)
    expect(page.locator(".panel")).to_contain_text("replications of stock flow")


def test_focus_and_folds_outlive_what_is_built_anew(page: Page, browser: Browser, home: str) -> None:
    page.goto("/job/1/build")
    proved(page)
    page.locator("summary", has_text="Power pack").click()
    other = page.locator("[data-stays]", has_text="Put in instead").locator("visible=true").first
    expect(other).to_be_visible()
    code = other.get_attribute("data-stays")
    other.focus()
    page.keyboard.press("Enter")
    taken = page.locator(f'[data-stays="{code}"]')
    expect(taken).to_have_text("Take out")
    expect(taken).to_be_focused()
    page.goto("/job/1/money")
    proved(page)
    fold = page.locator("details", has=page.locator("summary", has_text="In cash"))
    fold.locator("summary").click()
    number = fold.locator("td .figurelink").first
    number.focus()
    was = number.inner_text()
    with watched(browser, home) as (_, beside):
        beside.goto("/job/1/past")
        beside.get_by_role("button", name="Throw my draft away").click()
        expect(number).not_to_have_text(was, timeout=PATIENCE_MS)
    expect(number).to_be_visible()
    expect(number).to_be_focused()


def test_no_page_is_wider_than_its_window_and_targets_are_large_enough(page: Page) -> None:
    for address in ("/", *(f"/job/1/{name}" for name in WIDE)):
        page.goto(address)
        page.wait_for_selector("h1")
        if address != "/":
            proved(page)
            expect(page.get_by_text("being drawn")).to_have_count(0, timeout=PATIENCE_MS)
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")
        for across, down in WIDTHS.values():
            page.set_viewport_size({"width": across, "height": down})
            assert page.evaluate("document.documentElement.scrollWidth") <= across, (address, across)
            small = page.evaluate(
                "[...document.querySelectorAll('button:not(.figurelink), input, select, nav a, summary')]"
                ".filter(e => e.offsetParent && e.type !== 'checkbox' && e.getBoundingClientRect().height < 43.5)"
                ".map(e => e.outerHTML.slice(0, 120))"
            )
            assert small == [], (address, across)


def test_the_page_is_set_in_our_own_type_from_this_machine(page: Page) -> None:
    page.goto("/")
    page.wait_for_selector("h1")
    page.evaluate("document.fonts.ready")
    loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")
    assert any("Barlow" in family for family in loaded)
    assert page.evaluate("document.fonts.check('16px Barlow')")
