"""The rehearsal in the browser: buttons held by mouse, finger and key, refusals, looking back, three widths."""

from __future__ import annotations

import random
import time
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from stockproof.brief import read_brief
from stockproof.catalogue.reader import read_catalogue
from stockproof.flow.live import Live
from stockproof.installation import install
from stockproof.netlist.model import InputKind
from stockproof.proof import prove
from stockproof.proof.prove import QUICK
from stockproof.proof.rehearsal import Staged, cast_of, stage
from stockproof.proof.rehearsal.refusal import refusals
from tests.browser.conftest import PATIENCE_MS, WIDTHS, watched
from tests.browser.steps import broken_rules

#: Waits until the picture has been drawn a dozen times more, however long a busy machine takes for that.
FRAMES = "new Promise(done => { let n = 0; const f = () => ++n > 12 ? done() : requestAnimationFrame(f); f(); })"


def opened(page: Page) -> None:
    """A rehearsal at its very beginning, standing still, with nobody of the crew at the controls."""
    page.goto("/job/1/rehearsal")
    page.wait_for_selector(".stage svg .person", state="attached", timeout=PATIENCE_MS)
    stage_now = page.locator(".stage")
    before = stage_now.get_attribute("data-run") or ""
    page.get_by_role("button", name="Begin anew").click()
    expect(stage_now).not_to_have_attribute("data-run", before, timeout=PATIENCE_MS)
    page.get_by_role("button", name="Pause").click()
    expect(page.get_by_role("button", name="Go on")).to_be_visible()
    for _ in range(100):
        if stage_now.get_attribute("data-time") == "0":
            return
        page.locator(".picture").press("ArrowLeft")
        page.wait_for_timeout(100)
    raise AssertionError(f"the beginning was not reached: at {stage_now.get_attribute('data-time')} s")


def hands_off(page: Page) -> None:
    page.get_by_label("The crew works the controls").uncheck()
    expect(page.locator(".stage.past")).to_have_count(0)


def lamp(words: str) -> str:
    return f'.lamps li.on:has-text("{words}")'


def test_a_button_is_refused_with_its_reason_until_leave_is_given_and_then_runs_while_held(page: Page) -> None:
    opened(page)
    hands_off(page)
    page.get_by_role("button", name="Open the entry gate, side panel").hover()
    page.mouse.down()
    expect(page.locator(".says.refused")).to_contain_text("Refused: entry gate opens")
    expect(page.locator(".halo:not([display])")).to_have_count(1)
    page.mouse.up()
    expect(page.locator(".says.refused")).to_have_count(0)
    page.get_by_role("button", name="Reset: give leave to move, side panel").click()
    expect(page.locator(lamp("motions have leave"))).to_be_visible()
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Open the slide gate, side panel").hover()
    gate = page.locator(".piece.gate").nth(1).locator("line")
    shut = gate.get_attribute("y1")
    page.mouse.down()
    page.wait_for_timeout(250)
    page.mouse.up()
    expect(page.locator(".happening")).to_contain_text("The slide gate stops on its way")
    page.evaluate(FRAMES)
    held = gate.get_attribute("y1")
    assert held != shut
    page.wait_for_timeout(300)
    assert gate.get_attribute("y1") == held


def test_keys_press_and_let_go_and_a_key_has_no_effect_in_a_field(page: Page) -> None:
    opened(page)
    hands_off(page)
    squeeze = page.get_by_role("button", name="Squeeze in, side panel")
    key = squeeze.get_attribute("aria-keyshortcuts") or ""
    page.locator(".picture").focus()
    page.keyboard.down(key)
    expect(squeeze).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".says.refused")).to_contain_text("Refused: squeeze presses in")
    page.keyboard.up(key)
    expect(squeeze).to_have_attribute("aria-pressed", "false")
    squeeze.focus()
    page.keyboard.down("Enter")
    expect(squeeze).to_have_attribute("aria-pressed", "true")
    page.keyboard.press("Tab")
    expect(squeeze).to_have_attribute("aria-pressed", "false")
    page.get_by_label("Number of the day").press(key)
    expect(squeeze).to_have_attribute("aria-pressed", "false")


def test_a_finger_strikes_a_fault_and_mends_it(tablet: Page) -> None:
    opened(tablet)
    tablet.get_by_role("button", name="Go on").tap()
    expect(tablet.locator(lamp("motions have leave"))).to_be_visible(timeout=PATIENCE_MS)
    tablet.get_by_role("button", name="Strike", exact=True).tap()
    expect(tablet.locator(".struck li")).to_contain_text("The power is off")
    expect(tablet.locator(".lamps:not(.sensors) li.on")).to_have_count(0)
    tablet.get_by_role("button", name="Mend").tap()
    expect(tablet.locator(".struck li")).to_have_count(0)


def test_a_reload_shows_the_rehearsal_as_it_was_left_and_begin_anew_begins_it_anew(page: Page) -> None:
    opened(page)
    hands_off(page)
    page.get_by_role("button", name="Strike", exact=True).click()
    expect(page.locator(".struck li")).to_contain_text("The power is off")
    for _ in range(3):
        page.get_by_role("button", name="Next event").click()
    page.get_by_role("button", name="Open the head bail, side panel").hover()
    page.mouse.down()
    expect(page.get_by_role("button", name="Open the head bail, side panel")).to_have_attribute("aria-pressed", "true")
    left = page.locator(".stage").get_attribute("data-time")
    page.reload()
    page.wait_for_selector(".stage svg .person", state="attached", timeout=PATIENCE_MS)
    expect(page.locator(".stage")).to_have_attribute("data-time", left or "")
    expect(page.locator(".struck li")).to_contain_text("The power is off")
    expect(page.get_by_label("The crew works the controls")).not_to_be_checked()
    expect(page.get_by_role("button", name="Open the head bail, side panel")).to_have_attribute("aria-pressed", "false")
    page.get_by_role("button", name="Begin anew").click()
    expect(page.locator(".struck li")).to_have_count(0)
    expect(page.get_by_label("The crew works the controls")).to_be_checked()


def test_two_windows_show_one_rehearsal_and_the_last_one_used_has_it(browser: Browser, home: str) -> None:
    with watched(browser, home) as (context, first):
        opened(first)
        second = context.new_page()
        second.goto("/job/1/rehearsal")
        second.wait_for_selector(".stage svg .person", state="attached", timeout=PATIENCE_MS)
        second.get_by_role("button", name="Go on").click()
        expect(second.locator(".stage")).not_to_have_attribute("data-time", "0")
        first.get_by_role("button", name="Next event").click()
        expect(first.locator(".stage")).not_to_have_attribute("data-time", "0")
        expect(second.get_by_text("The rehearsal goes on in another window")).to_be_visible()
        expect(second.get_by_role("button", name="Go on")).to_be_visible()
        first.get_by_role("button", name="Begin anew").click()
        first.get_by_role("button", name="Pause").click()
        second.get_by_role("button", name="Next event").click()
        expect(second.get_by_text("The rehearsal goes on in another window")).to_be_hidden()


def test_a_story_of_a_fault_is_played_and_its_fault_struck_in_the_rehearsal(page: Page) -> None:
    opened(page)
    page.get_by_role("button", name="Find the stories").click()
    stories = page.get_by_label("Story", exact=True)
    expect(stories).to_be_visible(timeout=PATIENCE_MS)
    page.get_by_role("button", name="speed times 16").click()
    group = page.locator('.tales optgroup[label="The valve sticks so that the head bail closes."]')
    stories.select_option(group.locator("option").first.get_attribute("value"))
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator(".says.refused")).to_contain_text("The head bail closes", timeout=PATIENCE_MS)
    expect(page.locator(".person.harmed")).to_have_count(1)
    expect(page.locator(".halo:not([display])")).to_have_count(1)
    expect(page.locator(".struck li")).to_contain_text("In this story: The valve sticks so that the head bail closes.")
    page.get_by_role("button", name="Back to the rehearsal").click()
    expect(page.locator(".person.harmed")).to_have_count(0)
    expect(page.locator(".struck li")).to_have_count(0)
    page.get_by_role("button", name="Play", exact=True).click()
    page.get_by_role("button", name="Strike it in the rehearsal").click()
    expect(page.locator(".struck li")).to_contain_text("The valve sticks so that the head bail closes.")
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    page.reload()
    expect(page.get_by_label("Story", exact=True)).to_be_visible(timeout=PATIENCE_MS)


def test_random_presses_match_the_kernel_and_its_netlist(page: Page) -> None:
    """The same presses on the page and on the kernel: lamps, sensors, driven parts and reasons agree after each."""
    brief = read_brief(Path("examples/hill/brief.toml"))
    installation = install(brief, read_catalogue(Path("examples/firm/catalogue.toml")))
    staged = stage(cast_of(prove(installation, replace(QUICK, replications=2)).rooms))
    live = Live(staged.script)
    live.act("crew", "", False)
    netlist = staged.script.netlist
    buttons = [i for i in netlist.inputs if i.kind == InputKind.MOMENTARY and i.name.startswith("side.")]
    reset = next(i for i in buttons if i.name == "side.reset")
    opened(page)
    hands_off(page)
    page.locator(".signals summary").click()
    rng = random.Random(2)
    refused = 0
    for _ in range(18):
        pressed = rng.choice([*buttons, reset, reset])
        page.get_by_role("button", name=pressed.label, exact=True).hover()
        page.mouse.down()
        live.press(pressed.name)
        refused += _agree(page, live, staged)
        page.mouse.up()
        live.release(pressed.name)
        _agree(page, live, staged)
        page.get_by_role("button", name="Next event").click()
        live.to_next()
        _agree(page, live, staged)
    assert refused >= 2


def _agree(page: Page, live: Live, staged: Staged) -> bool:
    """Wait until the page shows what the kernel says; gives whether somebody was refused."""
    seen = live.snapshot()
    wanted = "".join("1" if on else "0" for on in (*seen.lamps, *seen.sensors))
    shown = ""
    for _ in range(60):
        shown = page.evaluate(
            "[...document.querySelectorAll('.lamps li')].map(e => +e.classList.contains('on')).join('')"
        )
        if shown == wanted:
            break
        time.sleep(0.05)
    assert shown == wanted
    told = [each for each in refusals(live, staged.conditions) if each.by_hand]
    if not told:
        expect(page.locator(".says.refused")).to_have_count(0)
        return False
    said = page.locator(".says.refused")
    expect(said).to_contain_text(f"Refused: {told[0].what}.")
    for why in told[0].reasons:
        expect(said).to_contain_text(why[1:])
    return True


@pytest.mark.parametrize("width", WIDTHS)
def test_the_page_fits_targets_can_be_hit_and_the_rules_are_kept(browser: Browser, home: str, width: str) -> None:
    with watched(browser, home, width) as (_, page):
        page.goto("/job/1/rehearsal")
        page.wait_for_selector(".stage svg .person", state="attached", timeout=PATIENCE_MS)
        assert page.evaluate("document.documentElement.scrollWidth") <= WIDTHS[width][0]
        small = page.evaluate(
            "[...document.querySelectorAll('.stage button, .stage input, .stage select, .stage summary')]"
            ".filter(e => e.offsetParent && e.type !== 'checkbox' && e.getBoundingClientRect().height < 43.5)"
            ".map(e => e.outerHTML.slice(0, 120))"
        )
        assert small == []
        assert broken_rules(page) == []
