"""Steps that several browser tests share."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.browser.conftest import PATIENCE_MS

__all__ = ["proved"]


def proved(page: Page) -> None:
    """Wait for verdicts of the text as it stands."""
    expect(page.locator(".strip .sum button").first).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator(".strip")).not_to_have_class("strip working", timeout=PATIENCE_MS)
