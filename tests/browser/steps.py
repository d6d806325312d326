"""Steps that several browser tests share."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import PATIENCE_MS

__all__ = ["broken_rules", "proved"]

#: WCAG 2 A and AA, axe's best practice, and text at AAA contrast.
#: (Style sheets are not fetched again: that shows the bar of a page being loaded, which is then judged, too.)
OPTIONS: dict[str, Any] = {
    "resultTypes": ["violations"],
    "preload": False,
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}


def proved(page: Page) -> None:
    """Wait for verdicts of the text as it stands."""
    expect(page.locator(".strip .sum button").first).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator(".strip")).not_to_have_class("strip working", timeout=PATIENCE_MS)


def broken_rules(page: Page) -> list[str]:
    """What axe-core finds against its rules, as lines to read."""
    found = Axe().run(page, options=OPTIONS).response["violations"]
    return [
        f"{rule['id']}: {node['html'][:160]} | {' '.join((node.get('failureSummary') or '').split())[:200]}"
        for rule in found
        for node in rule["nodes"][:4]
    ]
