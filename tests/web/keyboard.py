"""A person without a mouse: what Tab cannot reach is neither pressed nor typed into."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

_REACHED = """(what) => {
  const one = what.closest("a[href], button, summary, input, select, textarea");
  if (one) one.focus();
  return one !== null && one === document.activeElement && one.tabIndex >= 0;
}"""


def named(page: Page, words: str) -> Locator:
    """The first link, button or fold with these words, as a person finds it."""
    pressed = page.locator(":is(a, button, summary):not([aria-hidden]):visible")
    return pressed.filter(has_text=re.compile(re.escape(words))).first


def reach(one: Locator) -> None:
    """Focus it, once it is there to be seen and used."""
    expect(one).to_be_visible()
    expect(one).to_be_enabled()
    assert one.evaluate(_REACHED), f"the keyboard does not reach {one}"


def press(one: Locator, key: str = "Enter") -> None:
    reach(one)
    one.page.keyboard.press(key)


def choose(one: Locator) -> None:
    """A chip, or a box to be ticked: by the space bar."""
    press(one.locator("input"), "Space")


def write(one: Locator, text: str) -> None:
    reach(one)
    one.page.keyboard.press("Control+A")
    one.page.keyboard.insert_text(text)


def send(one: Locator) -> None:
    """A button that sends its form: waits for the page that answers."""
    with one.page.expect_navigation():
        press(one)
