"""A real browser on a real desk: typing, touch, keys, three widths, and not one request that leaves the machine."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDTHS = {"desk": (1440, 900), "tablet": (820, 1180), "phone": (390, 844)}
#: The desk with a smaller run: what the pages do is tested here, not how many days are drawn.
SERVER = """
import sys
from dataclasses import replace
from pathlib import Path
from stockproof.desk.server import QUICK, serve
if __name__ == "__main__":
    small = replace(QUICK, replications=20)
    serve(Path(sys.argv[1]), None, "127.0.0.1", int(sys.argv[2]), False, Path(sys.argv[3]), quick=small, full=None)
"""
PATIENCE_MS = 240_000


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A desk of its own, with the hill farm open as job 1."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    folder = tmp_path_factory.mktemp("desk")
    script = folder / "desk.py"
    script.write_text(SERVER)
    command = [sys.executable, str(script), "examples/hill/brief.toml", str(port), str(folder)]
    # the page library behaves otherwise where it finds itself in a test run, and this is to be the real thing
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "NICEGUI"))}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as server:
        assert server.stdout is not None
        assert "the desk is open" in server.stdout.readline()
        _wait_for(port)
        yield f"http://127.0.0.1:{port}"
        server.terminate()


def _wait_for(port: int) -> None:
    for _ in range(300):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("the desk did not open")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser: Browser, home: str) -> Iterator[Page]:
    """A page that fails its test where anything leaves the machine or the browser reports an error."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, base_url=home)
    context.set_default_timeout(PATIENCE_MS)
    opened = context.new_page()
    outside: list[str] = []
    errors: list[str] = []
    own = (home, home.replace("http", "ws", 1), "data:", "blob:")
    opened.on("request", lambda request: None if request.url.startswith(own) else outside.append(request.url))
    opened.on("websocket", lambda found: None if found.url.startswith(own) else outside.append(found.url))
    opened.on("pageerror", lambda error: errors.append(str(error)))
    opened.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    yield opened
    context.close()
    assert outside == []
    assert errors == []


def _proved(page: Page) -> None:
    expect(page.locator(".strip .sum button").first).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator(".strip")).not_to_have_class("strip working", timeout=PATIENCE_MS)


def test_a_wrong_answer_a_right_one_and_a_closed_tab(page: Page) -> None:
    page.goto("/job/1/brief/site")
    _proved(page)
    field = page.get_by_label("outlet: rating of the socket")
    field.fill("12 kg")
    expect(page.locator(".fault", has_text="'12 kg' is not a current")).to_be_visible(timeout=PATIENCE_MS)
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("20 A")
    expect(page.locator(".fault:visible")).to_have_count(0, timeout=PATIENCE_MS)
    _proved(page)
    page.reload()
    expect(page.get_by_label("outlet: rating of the socket")).to_have_value("20 A")
    expect(page.locator(".kept")).to_contain_text("draft on revision")
    page.get_by_role("button", name="Keep").click()
    expect(page.locator(".kept")).to_have_text("revision 2")


def test_a_verdict_and_a_figure_open_by_the_keyboard_alone(page: Page) -> None:
    page.goto("/job/1/brief")
    _proved(page)
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
    _proved(page)
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
            _proved(page)
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
