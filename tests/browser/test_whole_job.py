"""The whole job from nothing to the issued dossier, once by the keyboard alone and once by touch."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.steps import proved

#: A build the catalogue's rules allow, kind by kind in the order of the page.
BUILD = {
    "Crush body": "Standard crush body",
    "Entry gate": "Sliding entry gate",
    "Head bail": "Head bail, light",
    "Squeeze": "Squeeze, both sides",
    "Rear access gate": "Rear access gate, switched",
    "Draft unit": "Draft unit, two ways",
    "Weigh platform": "Weigh platform",
    "Power pack": "Power pack, petrol, small",
    "Controller": "Controller",
    "Control point": "Side panel",
}
SENSORS = (
    "Entry gate shut, limit switch",
    "Head bail shut, limit switch",
    "Squeeze off, limit switch",
    "Animal in the crush, light beam",
    "Rear access shut, limit switch",
    "Draft gate places, two, limit switch",
    "Draft clear, light beam",
)
TITLE = "A farm begun from nothing"
#: Words of what has the focus: its own name for those who hear the page, else its text.
FOCUSED = "(document.activeElement.getAttribute('aria-label') || document.activeElement.innerText || '').trim()"


class Keys:
    """Somebody who has a keyboard and nothing else."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def reach(self, words: str) -> None:
        """Go on with Tab until something so called has the focus."""
        for _ in range(900):
            self.page.keyboard.press("Tab")
            if re.match(words, str(self.page.evaluate(FOCUSED))):
                return
        raise AssertionError(f"Tab never reaches {words!r}")

    def press(self, words: str) -> None:
        self.reach(words)
        self.page.keyboard.press("Enter")

    def write(self, words: str, text: str) -> None:
        self.reach(words)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)


class Finger:
    """Somebody who touches a tablet."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def _called(self, words: str) -> Locator:
        begins = re.compile(f"^{words}")
        named = self.page.get_by_label(begins)
        told = self.page.locator("button:visible, a:visible, summary:visible").filter(has_text=begins)
        return named.or_(told).first

    def press(self, words: str) -> None:
        self._called(words).tap()

    def write(self, words: str, text: str) -> None:
        field = self._called(words)
        field.tap()
        field.fill(text)


def whole_job(page: Page, hand: Keys | Finger) -> None:
    """Begin from the placeholders, name the farm, build the line, confirm what was assumed, take the dossier."""
    page.goto("/")
    page.wait_for_selector("h1")
    hand.press("Begin with placeholders")
    expect(page.locator("h1")).to_have_text("The job")
    hand.write("title:", TITLE)
    expect(page.locator(".head .job")).to_have_text(TITLE)
    hand.press("Build")
    expect(page.locator("h1")).to_have_text("Build")
    for kind, item in BUILD.items():
        put_in(page, hand, kind, item)
    for sensor in SENSORS:
        put_in(page, hand, "Sensor" if sensor == SENSORS[0] else "", sensor)
    proved(page)
    hand.press("Keep")
    expect(page.locator(".kept")).to_have_text("revision 2")
    hand.press("Dossier")
    expect(page.locator("h1")).to_have_text("Dossier")
    expect(page.get_by_text("assumptions are confirmed by nobody")).to_be_visible()
    hand.press("Confirm all")
    expect(page.get_by_text("Ready to issue.")).to_be_visible()
    take_dossier(page, lambda: hand.press("Everything, ZIP"))


def put_in(page: Page, hand: Keys | Finger, kind: str, item: str) -> None:
    if kind:
        hand.press(kind)
    hand.press(rf"Put in[^:]*: {item}$")
    expect(page.locator(".item.in b", has_text=item).first).to_be_visible()


def take_dossier(page: Page, press: Callable[[], None]) -> None:
    with page.expect_download() as kept:
        press()
    names = zipfile.ZipFile(kept.value.path()).namelist()
    assert {"proposal.pdf", "engineering.pdf", "figures.json", "tables.xlsx"} <= set(names)


@pytest.mark.deep
def test_by_the_keyboard_alone(page: Page) -> None:
    whole_job(page, Keys(page))


@pytest.mark.deep
def test_by_touch(tablet: Page) -> None:
    whole_job(tablet, Finger(tablet))
