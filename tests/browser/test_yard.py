"""The plan in the browser: parts moved and sized by mouse, finger and key, judged at once, undone, seen in space."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import PATIENCE_MS, watched
from tests.browser.steps import proved

PEN = "receiving pen 4"


def part(page: Page, name: str) -> Locator:
    return page.locator(f'.yardplan .part[aria-label^="{name}"]')


def opened(page: Page) -> None:
    page.goto("/job/1/yard")
    proved(page)
    expect(part(page, PEN)).to_be_visible()


def written(page: Page, pattern: str) -> None:
    """The brief's own text says it."""
    page.goto("/job/1/brief/file")
    page.wait_for_selector("textarea.code")
    assert re.search(pattern, page.locator("textarea.code").input_value(), re.S)


@pytest.fixture(autouse=True)
def clean(browser: Browser, home: str) -> Iterator[None]:
    """Throw away what a test drew, whether it passed or not."""
    yield
    with watched(browser, home) as (_, page):
        page.goto("/job/1/past")
        expect(page.locator(".kept")).to_contain_text("revision")
        if page.get_by_role("button", name="Throw my draft away").count():
            page.get_by_role("button", name="Throw my draft away").click()
            expect(page.locator(".kept")).to_have_text(re.compile(r"^revision \d+$"))


def centre(shape: Locator) -> tuple[float, float]:
    box = shape.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_pen_dragged_away_breaks_a_rule_while_it_is_held_and_undo_mends_it(page: Page) -> None:
    opened(page)
    before = page.locator(".yardtop .beside h2").last.inner_text()
    x, y = centre(part(page, PEN))
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 30, steps=6)
    expect(page.locator(".trial")).to_contain_text(re.compile(r"Where it is held: \d+ against a rule"))
    expect(page.locator(".yardplan .says")).to_contain_text("m right")
    page.mouse.up()
    expect(page.locator(".yardplan .ghost")).to_have_count(0, timeout=PATIENCE_MS)
    expect(page.locator(".yardtop .beside h2").last).not_to_have_text(before)
    broken = page.locator(".yardtop .beside > div > .finding", has=page.locator(".is-not-met"))
    assert broken.count() > int(before.split()[0])
    expect(broken.first).to_contain_text(re.compile(r"Y\d{3}"))
    expect(broken.first.locator("p.small").first).to_contain_text(".")
    page.locator(".yardtop").get_by_role("button", name="Undo").click()
    expect(page.locator(".yardtop .beside h2").last).to_have_text(before)


def test_arrow_keys_move_the_chosen_part_and_with_shift_size_it(page: Page) -> None:
    opened(page)
    pen = part(page, PEN)
    pen.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".yardtop .beside h2").first).to_have_text(PEN.capitalize())
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    expect(page.locator(".yardplan .says")).to_have_text(f"{PEN.capitalize()}: 0.3 m right, 0.1 m up")
    expect(page.locator(".kept")).to_contain_text("draft on revision")
    expect(page.locator(".yardplan .ghost")).to_have_count(0, timeout=PATIENCE_MS)
    expect(pen).to_be_focused()
    page.keyboard.press("Shift+ArrowRight")
    expect(page.locator(".yardplan .says")).to_contain_text("m²")
    expect(page.get_by_role("button", name="Find the layout anew")).to_be_visible()
    expect(page.locator(".yardplan .ghost")).to_have_count(0, timeout=PATIENCE_MS)
    written(page, r'\[yard\].*\[\[yard.move\]\]\s+part = "receiving pen 4"\s+east = 0.3\s+north = 0.1')
    written(page, r'\[yard.fix\].*\[\[yard.resize\]\]\s+part = "receiving pen 4"\s+area = "\d+.\d m2"')
    opened(page)
    page.get_by_role("button", name="Find the layout anew").click()
    expect(page.get_by_role("button", name="Find the layout anew")).to_be_hidden()


@pytest.mark.deep
def test_the_line_is_set_down_elsewhere_and_turned_by_touch(tablet: Page) -> None:
    opened(tablet)
    part(tablet, "crush").scroll_into_view_if_needed()
    part(tablet, "crush").tap()
    expect(tablet.locator(".yardtop .beside h2").first).to_have_text("Crush")
    tablet.get_by_role("button", name="Turn right 5°").tap()
    expect(tablet.locator(".kept")).to_contain_text("draft on revision")
    proved(tablet)
    written(tablet, r'\[yard.fix\]\s+at = \[[\d.]+, [\d.]+\]\s+heading = "\d+ deg"')


@pytest.mark.deep
def test_the_yard_stands_in_space_and_prints_at_true_scale(page: Page) -> None:
    opened(page)
    page.get_by_role("button", name="In space").click()
    expect(page.locator(".inspace canvas")).to_be_visible()
    expect(page.locator(".yardplan")).to_be_hidden()
    page.get_by_role("button", name="On the plan").click()
    expect(page.locator(".yardplan")).to_be_visible()
    with page.expect_download() as kept:
        page.get_by_role("link", name="Print: PDF at true scale").click()
    assert kept.value.suggested_filename == "yard.pdf"
    assert kept.value.path().read_bytes().startswith(b"%PDF")
