"""A desk with a password: who comes in, two users at one job, and what the customer sees through the link."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.browser.conftest import PASSWORD, come_in, desk, watched
from tests.browser.steps import broken_rules, proved


@pytest.fixture
def locked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with desk(tmp_path_factory.mktemp("locked"), password=PASSWORD) as (address, _):
        yield address


@pytest.mark.deep
def test_two_users_at_one_job_lose_nothing(browser: Browser, locked: str) -> None:
    with watched(browser, locked) as (_, kim), watched(browser, locked) as (_, lee):
        for page, name in ((kim, "Kim Example"), (lee, "Lee Example")):
            come_in(page, name)
            page.goto("/job/1/brief")
            page.get_by_label("title:").fill(f"{name}'s title")
            expect(page.locator(".kept")).to_contain_text("draft on revision 1, saved")
        lee.get_by_role("button", name="Keep").click()
        expect(lee.locator(".kept")).to_have_text("revision 2")
        kim.get_by_role("button", name="Keep").click()
        expect(kim.locator(".kept")).to_contain_text("Not kept: revision 2 was kept")
        kim.goto("/job/1/past")
        expect(kim.locator(".diff")).to_contain_text("Lee Example's title")
        kim.get_by_role("button", name="Keep mine after it").click()
        expect(kim.locator(".kept")).to_have_text("revision 3")
        entries = kim.locator(".sheet .plainlist > li")
        expect(entries).to_have_count(3)
        expect(entries.nth(0)).to_contain_text("Kim Example")
        expect(entries.nth(1)).to_contain_text("Lee Example")


def test_the_customer_reads_and_takes_the_proposal_and_can_change_nothing(browser: Browser, home: str) -> None:
    with watched(browser, home) as (_, page):
        page.goto("/job/1/past")
        proved(page)
        link = page.locator("a[href^='/show/']").get_attribute("href")
    assert link is not None
    with watched(browser, home, "phone", touch=True, guest=True) as (context, customer):
        customer.goto(link)
        customer.wait_for_selector("table")
        assert customer.evaluate("document.documentElement.scrollWidth") <= 390
        expect(customer.locator("figure svg")).to_be_visible()
        expect(customer.locator("tbody tr")).to_have_count(19)
        expect(customer.locator("tbody .is-not-met").first).to_contain_text("not met")
        assert customer.locator("script, form, input, button").count() == 0
        assert broken_rules(customer) == []
        refused(context, link)
        answer = context.request.get(f"{link}/proposal.pdf", timeout=90_000)
        assert answer.body().startswith(b"%PDF")


def refused(context: BrowserContext, link: str) -> None:
    """Behind the link there is nothing but its own two pages."""
    for path in ("/", "/job/1/brief", "/job/1/file/dossier.zip", "/api/openapi.json"):
        assert context.request.get(path, max_redirects=0).status in (303, 401)
    assert context.request.post(link).status in (403, 405)
    assert context.request.get(f"{link}x").status == 404


def test_the_login_keeps_the_rules_and_a_wrong_password_is_told(browser: Browser, home: str) -> None:
    context = browser.new_context(base_url=home)
    page = context.new_page()
    page.goto("/")
    assert broken_rules(page) == []
    page.get_by_label("Name").fill("Kim Example")
    page.get_by_label("Password").fill("a guess")
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_role("alert")).to_have_text("That is not the password.")
    context.close()


@pytest.mark.deep
def test_a_desk_killed_while_somebody_writes_has_what_it_said_was_saved(browser: Browser, tmp_path: Path) -> None:
    with desk(tmp_path) as (home, server):
        context = browser.new_context(base_url=home)
        page = context.new_page()
        page.goto("/job/1/brief")
        page.get_by_label("title:").fill("Written just before the power went")
        expect(page.locator(".head .job")).to_have_text("Written just before the power went")
        server.kill()
        context.close()
    with desk(tmp_path) as (home, _), watched(browser, home) as (_, page):
        page.goto("/job/1/brief")
        expect(page.get_by_label("title:")).to_have_value("Written just before the power went")
        expect(page.locator(".kept")).to_contain_text("draft on revision 1, saved")
