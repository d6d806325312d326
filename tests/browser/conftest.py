"""One desk and one browser for all tests of this folder, and a page that fails its test where anything goes astray."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, StorageState, expect, sync_playwright

PASSWORD = "a long invented password"
CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--enable-unsafe-swiftshader",
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
from stockproof.desk.server import FULL, QUICK, serve
if __name__ == "__main__":
    small = replace(QUICK, replications=20)
    full = replace(FULL, checks=False) if sys.argv[4] == "full" else None
    host, password = sys.argv[5:7]
    serve(Path(sys.argv[1]), None, host, int(sys.argv[2]), False, Path(sys.argv[3]), password, quick=small, full=full)
"""
#: Long enough for a machine that has much else to do.
PATIENCE_MS = 180_000
expect.set_options(timeout=30_000)


@contextmanager
def desk(folder: Path, full: str = "quick", password: str = "") -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Open a desk of its own, with the hill farm as job 1; give its address and its process."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    script = folder / "desk.py"
    script.write_text(SERVER)
    command = [
        sys.executable,
        str(script),
        "examples/hill/brief.toml",
        str(port),
        str(folder),
        full,
        "127.0.0.1",
        password,
    ]
    # the page library behaves otherwise where it finds itself in a test run, and this is to be the real thing
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "NICEGUI"))}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as server:
        assert server.stdout is not None
        assert "the desk is open" in server.stdout.readline()
        _wait_for(port)
        yield f"http://127.0.0.1:{port}", server
        server.terminate()


def _wait_for(port: int) -> None:
    for _ in range(300):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("the desk did not open")


@pytest.fixture(scope="session")
def home(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of the desk that all tests share: one with a password, where somebody has come in."""
    with desk(tmp_path_factory.mktemp("desk"), password=PASSWORD) as (address, _):
        with browser.new_context(base_url=address) as context:
            come_in(context.new_page(), "Hill Example")
            _ENTERED[address] = context.storage_state()
        yield address


def come_in(page: Page, name: str) -> None:
    page.goto("/job/1/brief")
    expect(page).to_have_url(re.compile("/login$"))
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Come in").click()
    page.wait_for_selector("h1:has-text('Jobs')")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        _KEPT.clear()
        chromium.close()


#: What somebody who came in at a desk keeps in the browser, by the desk's address.
_ENTERED: dict[str, StorageState] = {}
#: Windows that stay open for the next test, so that it need not fetch and compile the pages' scripts again.
_KEPT: dict[tuple[str, str, bool], BrowserContext] = {}


def _window(browser: Browser, home: str, width: str, touch: bool, guest: bool) -> BrowserContext:
    across, down = WIDTHS[width]
    state = None if guest else _ENTERED.get(home)
    made = browser.new_context(
        viewport={"width": across, "height": down}, base_url=home, has_touch=touch, storage_state=state
    )
    made.set_default_timeout(PATIENCE_MS)
    return made


@contextmanager
def watched(
    browser: Browser, home: str, width: str = "desk", touch: bool = False, guest: bool = False
) -> Iterator[tuple[BrowserContext, Page]]:
    """A page; at its end nothing may have left the machine, and the browser may have reported no error.

    On the desk that all tests share somebody has come in already, unless it is a guest who looks.
    """
    kept = not guest and home in _ENTERED
    context = _KEPT.get((home, width, touch)) if kept else None
    context = context or _window(browser, home, width, touch, guest)
    if kept:
        _KEPT[home, width, touch] = context
    outside: list[str] = []
    errors: list[str] = []
    own = (home, home.replace("http", "ws", 1), "data:", "blob:")
    opened = context.new_page()
    opened.on("request", lambda request: None if request.url.startswith(own) else outside.append(request.url))
    opened.on("websocket", lambda found: None if found.url.startswith(own) else outside.append(found.url))
    opened.on("pageerror", lambda error: errors.append(str(error)))
    opened.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    yield context, opened
    if kept:
        opened.close()
    else:
        context.close()
    assert outside == []
    assert errors == []


@pytest.fixture
def page(browser: Browser, home: str) -> Iterator[Page]:
    with watched(browser, home) as (_, opened):
        yield opened


@pytest.fixture
def tablet(browser: Browser, home: str) -> Iterator[Page]:
    """A page on a tablet that is touched."""
    with watched(browser, home, "tablet", touch=True) as (_, opened):
        yield opened
