"""First paint and weight of every page of the desk: a fresh browser each time, nothing cached, the job proved before.

Prints the median of the runs: time to the first byte, to the first contentful paint, and until the page's own script
has built it; requests, and bytes on the wire. Run on a quiet machine: `python bench/desk.py [RUNS]`.
"""

from __future__ import annotations

import json
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader", "--disable-background-networking"]
PAGES = (
    "",
    "job/1/brief",
    "job/1/brief/promise",
    "job/1/build",
    "job/1/yard",
    "job/1/fit",
    "job/1/power",
    "job/1/logic",
    "job/1/flow",
    "job/1/money",
    "job/1/rehearsal",
    "job/1/dossier",
    "job/1/past",
)
DESK = """
import sys
from pathlib import Path
from stockproof.desk.server import serve
if __name__ == "__main__":
    serve(Path("examples/hill/brief.toml"), None, "127.0.0.1", int(sys.argv[1]), False, Path(sys.argv[2]), full=None)
"""
MEASURED = """() => {
  const all = performance.getEntriesByType("resource"), page = performance.getEntriesByType("navigation")[0];
  const paint = performance.getEntriesByName("first-contentful-paint")[0];
  return {
    byte_ms: page.responseStart, paint_ms: paint ? paint.startTime : NaN, requests: all.length + 1,
    kb: [page, ...all].reduce((sum, each) => sum + each.transferSize, 0) / 1000,
  };
}"""


def main(runs: int) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        script = Path(folder) / "desk.py"
        script.write_text(DESK)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, str(script), str(port), folder]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as server:
            home = f"http://127.0.0.1:{port}"
            answers(port)
            measure(playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS), home, runs)
            server.terminate()


def answers(port: int) -> None:
    """Wait until somebody listens."""
    for _ in range(600):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise SystemExit("the desk did not open")


def measure(browser: Browser, home: str, runs: int) -> None:
    first = browser.new_page()
    first.set_default_timeout(180_000)
    first.goto(f"{home}/job/1/brief")
    first.wait_for_selector(".strip .sum button")
    first.close()
    print(f"{'page':22}{'first byte':>12}{'first paint':>13}{'built':>9}{'requests':>10}{'on the wire':>13}")
    for page in PAGES:
        found = [once(browser, f"{home}/{page}") for _ in range(runs)]
        middle = {key: median(each[key] for each in found) for key in found[0]}
        print(
            f"/{page:21}{middle['byte_ms']:9.0f} ms{middle['paint_ms']:10.0f} ms{middle['built_ms']:6.0f} ms"
            f"{middle['requests']:10.0f}{middle['kb']:10.0f} kB",
            flush=True,
        )


def once(browser: Browser, address: str) -> dict[str, float]:
    """One load of a page in a window that has nothing cached."""
    with browser.new_context(viewport={"width": 1440, "height": 900}) as context:
        page: Page = context.new_page()
        page.set_default_timeout(60_000)
        began = time.perf_counter()
        page.goto(address, wait_until="commit")
        page.wait_for_selector("h1")
        built_ms = 1000 * (time.perf_counter() - began)
        page.wait_for_function("performance.getEntriesByName('first-contentful-paint').length > 0")
        found: dict[str, Any] = json.loads(json.dumps(page.evaluate(MEASURED)))
    return {**found, "built_ms": built_ms}


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
