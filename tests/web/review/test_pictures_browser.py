"""The pictures as a browser lays them out: letters of a readable size that keep off each other."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.web.drawings import month, point, table_of
from web.pictures import funnel, months

pytestmark = pytest.mark.browser

STATIC = Path(__file__).parents[3] / "web/static"
SIZES = (1, 2, 3, 7, 12, 13, 25, 37, 48, 59, 60)
MEASURE = """picture => {
    const sheet = picture.getBoundingClientRect();
    const texts = [...picture.querySelectorAll("text")].filter(one => one.getClientRects().length);
    return {
        sheet: [sheet.left, sheet.top, sheet.right, sheet.bottom],
        texts: texts.map(one => {
            const box = one.getBoundingClientRect(), size = getComputedStyle(one).fontSize;
            return [one.textContent, box.left, box.top, box.right, box.bottom, size];
        }),
    };
}"""


def page_of(drawn: list[str]) -> str:
    styles = "".join((STATIC / name).read_text("utf-8") for name in ("beforeflash.css", "parts.css"))
    sections = "".join(f"<section>{one}</section>" for one in drawn)
    return f"<!doctype html><style>{styles}</style><main class=wide>{sections}</main>"


def test_words_are_large_enough_inside_the_sheet_and_off_each_other(browser: Browser) -> None:
    """390 px is a phone, 703 what Letter leaves between margins of 15 mm, 641 the first wide layout."""
    shown = [
        months.drawn([month(2024 * 12 + 10 + place, 11, 3, 2) for place in range(size)], [], 0.7)
        for size in SIZES
    ]
    names = ["NV-24-101", "Skerra-07", "a title that is much too long for a name"]
    points = [point(name, 9 + 3 * n, 0.4 + n / 20, alarm=True) for n, name in enumerate(names)]
    shown += [funnel.drawn(table_of([*points, point("", 30, 0.7)]))]
    page = browser.new_context().new_page()
    page.set_content(page_of(shown))
    for width in (360, 390, 641, 703, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        are_readable(page, width)


def are_readable(page: Page, width: int) -> None:
    for number, picture in enumerate(page.query_selector_all("svg.chart")):
        told = picture.evaluate(MEASURE)
        left, top, right, bottom = told["sheet"]
        assert right <= width
        for words, x1, y1, x2, y2, size in told["texts"]:
            assert float(size.removesuffix("px")) >= 12, words
            assert x1 >= left - 1, (number, words)
            assert x2 <= right + 1, (number, words)
            assert y1 >= top - 1, (number, words)
            assert y2 <= bottom + 1, (number, words)
        assert len(told["texts"]) > 8
        for (one, a1, b1, a2, b2, _), (other, c1, d1, c2, d2, _) in combinations(told["texts"], 2):
            apart = a2 <= c1 or c2 <= a1 or b2 <= d1 + 2 or d2 <= b1 + 2
            assert apart, (number, one, other)


def test_both_themes_have_hues_of_their_own_and_paper_those_of_light(browser: Browser) -> None:
    drawn = [months.drawn([month(2026 * 12, 5, 3, 2)], [], 0.7)]
    found = {}
    for theme in ("light", "dark"):
        context = browser.new_context(color_scheme=theme)
        page = context.new_page()
        page.set_content(page_of(drawn))
        found[theme] = page.eval_on_selector(".bar-cured", "one => getComputedStyle(one).fill")
        if theme == "dark":
            page.add_style_tag(content=(STATIC / "print.css").read_text("utf-8"))
            found["paper"] = page.eval_on_selector(".bar-cured", "one => getComputedStyle(one).fill")
    assert found["light"] == found["paper"] != found["dark"]
