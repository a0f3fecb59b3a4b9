"""One concern from complaint to comeback in a real Chromium, as on the phone in the bay."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.conftest import StandingClock
from tests.web import keyboard
from tests.web.browsing import PASSWORD
from tests.web.chromium import Screen, screen
from tests.web.filling_in import COMPLAINT, VEHICLE, fill_in_a_concern

pytestmark = pytest.mark.browser

WIDTHS = (360, 390, 768, 1280)


def open_a_concern(bay: Screen) -> None:
    bay.page.click("text=New concern")
    fill_in_a_concern(bay)
    bay.page.click("button:has-text('Open concern') >> nth=0")
    bay.page.wait_for_url("**/concerns/1")


def test_a_concern_from_complaint_to_comeback_by_keyboard(
    browser: Browser, address: str, clock: StandingClock
) -> None:
    bay = screen(browser, address)
    page = bay.page
    bay.sign_in("tech")
    search_then_open_a_concern(bay)

    # Nothing is advised before the module is read and looked up.
    expect(page.locator("#verdict")).to_have_text("Check first")
    keyboard.write(page.locator("#id-now"), "NV10A")
    keyboard.send(keyboard.named(page, "From the vehicle"))
    expect(page.locator("#step")).to_be_focused()
    keyboard.write(page.locator("#newest-now"), "NV10B")
    keyboard.send(keyboard.named(page, "Newer one"))
    expect(page.locator("dd", has_text="NV10A")).to_contain_text("newer calibration exists: NV10B")

    # The next step is a check; its two results are on the buttons.
    step = page.locator(".advice .pick button.do")
    expect(step).to_have_count(2)
    keyboard.press(step.nth(1))
    expect(page.locator(".toast")).to_contain_text("Undo")
    expect(page.locator("#findings ~ ul li[data-result=no]")).to_have_count(1)

    # Go to the reflash whatever is advised now, and say why.
    reflash_anyway(page)
    page.wait_for_url("**/concerns/1/prep*")
    expect(page.locator("h1")).to_contain_text("PCM")
    expect(page.locator(".stop")).to_contain_text("A battery support unit, not a charger.")
    prepare(page)
    keyboard.press(keyboard.named(page, "Start programming"))
    expect(page.locator("h1")).to_have_text("Don't touch key, doors, cables or computer.")
    keyboard.press(keyboard.named(page, "record it"))

    keyboard.write(page.locator("#after_1"), "NV10B")
    for words in ("completed", "read from the module", "duplicated", "gone"):
        keyboard.choose(page.locator("label", has_text=words).first)
    keyboard.press(keyboard.named(page, "Write it down"))
    page.wait_for_url("**/release")
    keyboard.press(keyboard.named(page, "required, not done"))
    expect(page.locator("#go ~ ul")).to_contain_text("required and not done")
    keyboard.press(keyboard.named(page, "Release it with these open"))
    keyboard.write(page.locator("#reason-"), "glass shop calibrates it on Monday")
    keyboard.choose(page.locator("label", has_text="The customer is told"))
    keyboard.press(keyboard.named(page, "Release it so"))
    expect(page.locator("#go")).to_have_text("Released")
    keyboard.press(keyboard.named(page, "Close RO 2087-A"))
    keyboard.press(keyboard.named(page, "Close it"))
    expect(page.locator(".ref").first).to_contain_text("reflashed, waiting, day 0 of 90")
    assert bay.fits()

    # Ninety days later it is on the list of calls, and it came back.
    clock.move(days=91)
    bay.sign_in("tech")
    bay.open("/follow-ups")
    expect(page.locator("h2", has_text="RO 2087-A")).to_be_visible()
    bay.open("/concerns/1/follow-up")
    bay.chip("same concern came back")
    page.fill("#seen_on", "2026-12-24")
    page.click("text=Write it down")
    expect(page.locator(".said")).to_contain_text("Comeback counted")
    expect(page.locator(".ref").first).to_contain_text("opened")

    owner = screen(browser, address, 1280)
    sign_in_by_the_form(owner, "owner")
    owner.open("/review")
    row = owner.page.locator("tbody tr", has_text="NV-24-101")
    told = row.locator("td:visible")
    assert [told.nth(n).get_attribute("data-is") for n in range(4)] == [
        "done",
        "known to be cured",
        "not cured at road test",
        "comebacks",
    ]
    assert told.all_inner_texts()[:4] == ["1", "0", "0", "1"]
    assert bay.troubles == owner.troubles == []


def sign_in_by_the_form(seen: Screen, name: str) -> None:
    seen.open("/sign-in")
    seen.page.fill("#name", name)
    seen.page.fill("#password", PASSWORD)
    seen.page.click("text=Sign in >> nth=-1")
    seen.page.wait_for_url("**/concerns")


def search_then_open_a_concern(bay: Screen) -> None:
    """By the keys that every page names: / searches, n begins a concern."""
    page = bay.page
    expect(page.locator("#keys button")).to_be_attached()
    page.keyboard.press("/")
    expect(page.locator("#q")).to_be_focused()
    page.keyboard.type("bukcs n")
    expect(page.locator("#found")).to_contain_text("NV-24-101")
    page.keyboard.press("Tab")
    page.keyboard.press("n")
    page.wait_for_url("**/concerns/new")
    keyboard.write(page.locator("#ro_number"), "2087")
    keyboard.write(page.locator("#complaint"), COMPLAINT)
    keyboard.choose(page.locator("label", has_text="warm engine").first)
    keyboard.write(page.locator("#codes"), "p0171")
    keyboard.press(keyboard.named(page, "More: odometer"))
    for field, text in VEHICLE:
        keyboard.write(page.locator(field), text)
    keyboard.press(keyboard.named(page, "Open concern"))
    page.wait_for_url("**/concerns/1")


def prepare(page: Page) -> None:
    """Sign, measure, and pass what blocks."""
    signs = page.locator("button:has-text('sign as tech'):visible")
    keyboard.send(signs.first)
    for line, volts in (("battery_rested", "12.6"), ("support_voltage", "13.4")):
        keyboard.write(page.locator(f"#m-{line}"), volts)
        keyboard.send(page.locator(f"#line-{line} .measure button"))
    expect(page.locator("#line-support_voltage")).to_contain_text("13.4 V")
    expect(page.locator("#line-support_voltage")).to_contain_text("No window is known")
    blocks = page.locator(".prep-line:visible", has_text="Blocks:")
    while blocks.count():
        keyboard.write(blocks.first.locator("[name=reason]"), "borrowed one")
        keyboard.send(blocks.first.locator("button:has-text('Pass as')"))
    while signs.count():
        keyboard.send(signs.first)


def reflash_anyway(page: Page) -> None:
    if page.locator("#verdict").inner_text() == "Reflash":
        keyboard.press(keyboard.named(page, "Prep for programming"))
        return
    keyboard.press(keyboard.named(page, "Do something else…"))
    for words in ("Reflash now", "customer insists"):
        keyboard.choose(page.locator("label", has_text=words).first)
    keyboard.press(keyboard.named(page, "Write down what is done"))


def test_a_tap_that_cannot_be_saved_says_so_and_is_saved_on_retry(browser: Browser, address: str) -> None:
    bay = screen(browser, address)
    page = bay.page
    bay.sign_in("tech")
    open_a_concern(bay)
    page.click("summary:has-text('Settle before programming')")
    broken = [True]

    def fail_once(route: Route) -> None:
        route.abort() if broken and broken.pop() else route.continue_()

    page.route("**/gates", fail_once)
    gate = page.locator("#gate-battery")
    gate.locator("button", has_text="PASS").click()
    expect(page.locator(".toast")).to_contain_text("not saved")
    page.click("text=Retry")
    expect(gate.locator("button[aria-pressed=true]")).to_have_text("PASS")
    page.click(".toast button:has-text('Undo')")
    expect(gate.locator("button[aria-pressed=true]")).to_have_count(0)
    gate.locator("button", has_text="PASS").click()
    page.reload()
    page.click("summary:has-text('Settle before programming')")
    gate.locator("button", has_text="PASS").click()  # tapped again, it clears
    expect(gate.locator("button[aria-pressed=true]")).to_have_count(0)


def test_the_same_taps_work_without_javascript(browser: Browser, address: str) -> None:
    plain = screen(browser, address, script=False)
    page = plain.page
    plain.sign_in("tech")
    open_a_concern(plain)
    page.click("summary:has-text('Settle before programming')")
    page.locator("#gate-battery button", has_text="PASS").click()
    expect(page.locator("#gate-battery button[aria-pressed=true]")).to_have_text("PASS")
    plain.open("/search?q=lite+throtle")
    expect(page.locator("#found")).to_contain_text("NV-24-101")


def test_results_appear_as_one_types(browser: Browser, address: str) -> None:
    bay = screen(browser, address)
    bay.sign_in("tech")
    bay.page.locator("#q").press_sequentially("bukcs at lite throtle")
    expect(bay.page.locator("#found")).to_contain_text("NV-24-101")
    assert bay.troubles == []


def test_back_from_a_result_finds_what_was_typed_last(browser: Browser, address: str) -> None:
    bay = screen(browser, address)
    bay.sign_in("tech")
    bay.open("/search?q=rattles")
    expect(bay.page.locator("#found")).not_to_contain_text("NV-24-101")
    bay.page.locator("#q").fill("bukcs at lite throtle")
    bay.page.locator("#found a", has_text="NV-24-101").click()
    expect(bay.page.locator("h1")).to_contain_text("NV-24-101")
    bay.page.go_back()
    expect(bay.page.locator("#q")).to_have_value("bukcs at lite throtle")
    expect(bay.page.locator("#found")).to_contain_text("NV-24-101")
    bay.page.reload()
    expect(bay.page.locator("#q")).to_have_value("bukcs at lite throtle")
    assert bay.troubles == []


def test_pages_fit_and_targets_fit_a_glove(browser: Browser, address: str) -> None:
    bay = screen(browser, address)
    bay.sign_in("tech")
    open_a_concern(bay)
    paths = ("/concerns", "/concerns/new", "/concerns/1/prep", "/concerns/1/programming", "/notes/1", "/shop")
    for path in (*paths, "/shop/settings", "/what-if", "/search?q=throttle", "/concerns/1"):
        bay.open(path)
        assert bay.too_wide_at(*WIDTHS) == [], path
        for fold in bay.page.locator("details:not([open]) > summary").all():
            if fold.is_visible():
                fold.click()
        assert bay.too_wide_at(*WIDTHS) == [], f"{path} unfolded"
    for width in WIDTHS:
        bay.page.set_viewport_size({"width": width, "height": 800})
        for selector in (".pick", ".pair", ".chips"):
            assert too_small_or_close(bay.page, selector) == []


def too_small_or_close(page: Page, selector: str) -> list[str]:
    """Buttons below 60 px, or nearer than 12 px to the next (shop floor: 60 px targets, 12 px apart)."""
    found: list[str] = page.evaluate(
        """(selector) => {
          const bad = [];
          for (const group of document.querySelectorAll(selector)) {
            const boxes = [...group.querySelectorAll("button:not(.link), label span")].map(
              (one) => [one.textContent.trim(), one.getBoundingClientRect()]).filter(([, b]) => b.width);
            for (const [name, b] of boxes) if (b.height < 59.5 || b.width < 59.5) bad.push(`${name} small`);
            for (const [i, [name, a]] of boxes.entries()) for (const [other, b] of boxes.slice(i + 1)) {
              const x = Math.max(b.left - a.right, a.left - b.right);
              const y = Math.max(b.top - a.bottom, a.top - b.bottom);
              if (Math.max(x, y) < 11.5) bad.push(`${name} near ${other}`);
            }
          }
          return bad;
        }""",
        selector,
    )
    return found


def test_the_keyboard_reaches_the_page_past_the_bar_and_focus_is_seen(browser: Browser, address: str) -> None:
    bay = screen(browser, address, 1280)
    bay.sign_in("tech")
    open_a_concern(bay)
    page = bay.page
    bay.open("/concerns/1")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("Skip to the page")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.focus(".advice button")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
