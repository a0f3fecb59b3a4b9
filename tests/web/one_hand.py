"""What a page shown in a browser is held to: axe-core's rules, a width of 320 px, targets for a gloved thumb.

axe-core (https://github.com/dequelabs/axe-core) checks what can be checked of WCAG 2.2 A and AA, and its
own good practice; `target-size` (2.5.8), which it leaves off, is on. 48 px and what counts as running text
are ours.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.web.browsing import Page as Read

PHONE, TARGET = 400, 48
SHARED = 13  # a lone link may reach so far into what stands next to it, which is pressed there

_VIOLATIONS = """async (contrast) => (await axe.run(document, {resultTypes: ["violations"],
  rules: {"target-size": {enabled: true}, "color-contrast": {enabled: contrast}}})).violations.flatMap(
    (rule) => rule.nodes.map((node) => `${rule.id}: ${node.target.join(" ")} ${node.html.slice(0, 120)}`))"""

# A link may be as low as its line where text of its own block comes before it, or anywhere in a sentence.
_TARGETS = """([least, shared]) => {
  const what = "a[href], button, summary, select, textarea, input:not([type=hidden])";
  const words = (node) => (node.textContent.match(/[\\p{L}\\p{N}]+/gu) || []).length;
  const isInline = (one) => /^(inline|contents)/.test(getComputedStyle(one).display);
  const block = (one) => {
    let at = one.parentElement;
    while (isInline(at)) at = at.parentElement;
    return at;
  };
  const told = (one, whole) => {
    for (let at = one; at !== whole; at = at.parentElement) {
      for (let before = at.previousSibling; before; before = before.previousSibling) {
        const tag = before.nodeType === 1 ? before : null;
        if (tag && (tag.tagName === "BR" || !isInline(tag))) return false;
        if (!(tag && tag.matches("a, button, .hidden-text")) && words(before)) return true;
      }
    }
    return false;
  };
  const runs = (one) => {
    if (!/^inline/.test(getComputedStyle(one).display)) return false;
    const whole = block(one);
    if (told(one, whole)) return true;
    if (!whole.matches("p, label, figcaption, caption")) return false;
    const copy = whole.cloneNode(true);
    for (const other of copy.querySelectorAll("a, button, .hidden-text")) other.remove();
    return words(copy) > 1;
  };
  const seen = (one) => one.checkVisibility({opacityProperty: false, visibilityProperty: true})
    && !one.closest(".hidden-text, .skip");
  const found = [], lone = [];
  for (const one of document.querySelectorAll(what)) {
    if (!seen(one)) continue;
    const ticked = one.matches("[type=checkbox], [type=radio]") && one.closest("label");
    const box = (ticked || one).getBoundingClientRect();
    if (one.matches("a, button") && runs(one)) continue;
    const under = lone.find(([other, its]) => !other.contains(one)
      && box.left < its.right - 1 && its.left < box.right - 1
      && box.top < its.bottom - shared && its.top < box.bottom - shared);
    if (under) found.push(`over another: ${one.outerHTML.slice(0, 120)}`);
    if (!ticked) lone.push([one, box]);
    if (box.height >= least - .5 && box.width >= 24) continue;
    found.push(`${Math.round(box.width)} x ${Math.round(box.height)} px: ${one.outerHTML.slice(0, 120)}`);
  }
  return found;
}"""

_UNFOLD = "() => { for (const fold of document.querySelectorAll('details')) fold.open = true; }"
_FOCUS_AWAY = "() => document.activeElement.blur()"


def one_of_each(pages: dict[str, Read], kind_of: Callable[[str], str]) -> list[str]:
    """The address of the page with most on it of each kind."""
    fullest: dict[str, str] = {}
    for path, page in sorted(pages.items()):
        kind = kind_of(path)
        if kind not in fullest or len(page.tags) > len(pages[fullest[kind]].tags):
            fullest[kind] = path
    return sorted(fullest.values())


def by_address(path: str) -> str:
    """Without numbers, the evidence's check and what is asked."""
    where = path.partition("?")[0]
    return re.sub(r"\d+|(?<=/evidence/)\w+", "0", where)


def by_question(path: str) -> str:
    """The same, told apart by what is asked."""
    asked = path.partition("?")[2]
    return "&".join([by_address(path), *sorted(one.partition("=")[0] for one in asked.split("&"))])


def load_axe(page: Page) -> None:
    """By the debugger, so that the page's own content policy holds as it is."""
    page.evaluate(f"() => {{ if (!window.axe) {{ {AXE_SCRIPT} }} }}")


def unfold(page: Page) -> None:
    page.evaluate(_UNFOLD)


def faults(page: Page, width: int, *, dark: bool, contrast: bool = True) -> list[str]:
    """What is wrong with the page that is open, shown so wide and in that theme."""
    page.set_viewport_size({"width": width, "height": 800})
    page.emulate_media(color_scheme="dark" if dark else "light")
    page.evaluate(_FOCUS_AWAY)
    found: list[str] = page.evaluate(_VIOLATIONS, contrast)
    return [*found, *too_wide(page), *(too_small(page) if width <= PHONE else ())]


def too_wide(page: Page) -> Iterable[str]:
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return [f"{wide} px too wide"] * (wide > 0)


def too_small(page: Page) -> Iterable[str]:
    small: list[str] = page.evaluate(_TARGETS, [TARGET, SHARED])
    return small
