"""A crawler reads every page that links lead to and holds it to what a browser and a person need.

Rules of HTML: https://html.spec.whatwg.org (unique ids, label for; a form token in each form is our own);
of access: WCAG 2.2, 1.1.1 (text alternatives), 3.3.2 and 4.1.2 (labels and names), from memory.
"""

from __future__ import annotations

from collections import Counter

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CoverageLine
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.web.browsing import Page, Visitor
from tests.web.one_hand import by_question


def crawl(visitor: Visitor, of_a_kind: int = 3) -> dict[str, Page]:
    """Every page reachable by links, by address, and so many that differ by numbers only. Files to download
    are fetched too, but are no pages.
    """
    seen: dict[str, Page] = {}
    files: set[str] = set()
    kinds: Counter[str] = Counter()
    waiting = ["/"]
    while waiting:
        path = waiting.pop()
        kind = by_question(path)
        if path in seen or path in files or kinds[kind] >= of_a_kind:
            continue
        kinds[kind] += 1
        page = visitor.see(path)
        if "html" not in visitor.answer.headers["content-type"]:
            files.add(path)
            continue
        seen[path] = page
        waiting += page.leads_to
    return seen


@pytest.fixture(params=["tech", "lead", "owner"])
def pages(request: pytest.FixtureRequest, reflashed: RunningShop) -> dict[str, Page]:
    visitor = Visitor(reflashed).sign_in(request.param)
    if request.param == "tech":
        # The review refuses technicians with a page of its own, so the crawler must not follow it.
        original = visitor.see
        visitor.see = lambda path, expect=200: original(path, 403 if path == "/review" else expect)  # type: ignore[method-assign]
    return crawl(visitor)


def test_every_page_keeps_the_rules(pages: dict[str, Page]) -> None:
    assert len(pages) > 25
    broken = [f"{path}: {fault}" for path, page in pages.items() for fault in faults(page)]
    assert broken == []


HOSTILE = """"'><script src=x></script><img src=x onerror=f()>{{ 7 * 7 }}"""


def test_what_people_write_never_becomes_part_of_a_page(bay: RunningShop) -> None:
    texts = dict.fromkeys(("title", "number", "conditions", "symptom", "body"), HOSTILE)
    lines = dict.fromkeys(("precautions", "relearns", "exact_entries"), (HOSTILE,))
    said = {"complaint": f"bucks {HOSTILE}", "technician_words": HOSTILE, "phone": HOSTILE}
    with bay.writing(actor_of(bay, "lead")) as desk:
        coverage = (CoverageLine("Norvane", HOSTILE),)
        notes.write_note(desk, an_update(coverage=coverage, **texts, **lines))
        concerns.open_concern(desk, a_concern(ro_number="66", vehicle=a_vehicle(engine=HOSTILE), **said))
    pages = crawl(Visitor(bay).sign_in("owner"))
    told = [path for path, page in pages.items() if HOSTILE in page.text]
    assert {"/concerns/2", "/notes/3", "/concerns"} <= set(told)
    for path, page in pages.items():
        assert faults(page) == [], path
        assert all(script["src"].startswith("/static/") for script in page.all("script")), path
        assert not [image for image in page.all("img") if "onerror" in image], path


def faults(page: Page) -> list[str]:
    return [*inline_code(page), *structure(page), *names(page), *forms(page)]


def inline_code(page: Page) -> list[str]:
    """The content policy forbids inline style and script; a browser would drop them silently."""
    found = [f"<{tag} {name}>" for tag, attributes in page.tags for name in attributes if _is_code(name)]
    found += ["<style>"] * len(page.all("style"))
    return found + ["<script> without src" for script in page.all("script") if "src" not in script]


def _is_code(name: str) -> bool:
    return name == "style" or name.startswith("on")


def structure(page: Page) -> list[str]:
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    found = [f"id {one} twice" for one in sorted({one for one in ids if ids.count(one) > 1})]
    found += [f"{len(page.all('h1'))} h1"] * (len(page.all("h1")) != 1)
    found += ["no main"] * (len(page.all("main")) != 1)
    found += [f"unclosed {page.unclosed}"] * bool(page.unclosed)
    wanted = [link[1:] for link in page.links if link.startswith("#")]
    return found + [f"link to #{one}, which is not there" for one in wanted if one not in ids]


def names(page: Page) -> list[str]:
    labelled = {attributes.get("for") for attributes in page.all("label")}
    found = []
    for tag in ("input", "select", "textarea"):
        for one in page.all(tag):
            hidden = one.get("type") == "hidden"
            chip = one.get("type") in {"radio", "checkbox"}  # these stand inside their label
            if not hidden and not chip and one.get("id") not in labelled and "aria-label" not in one:
                found.append(f"{tag} {one.get('name')} without label")
    ids = {attributes["id"] for _, attributes in page.tags if "id" in attributes}
    for _tag, one in page.tags:
        for name in ("aria-labelledby", "aria-describedby"):
            found += [f"{name} {r} leads nowhere" for r in one.get(name, "").split() if r not in ids]
    pictures = [svg for svg in page.all("svg") if "aria-hidden" not in svg and "x" not in svg]
    named = {"aria-label", "aria-labelledby"}
    return found + ["svg without words" for svg in pictures if not named & set(svg)]


def forms(page: Page) -> list[str]:
    posts = [form for form in page.forms if form.method == "post"]
    return [f"form to {form.action} without token" for form in posts if not form.fields.get("form_token")]


def test_the_checks_of_this_file_find_faults() -> None:
    bad = Page(
        '<main><h1>a</h1><h1>b</h1><p id="x" style="color:red" onclick="f()"></p><i id="x"></i>'
        '<a href="#y">y</a><svg></svg><input name="n"><script>f()</script>'
        '<form method="post" action="/z"></form></main>'
    )
    assert len(faults(bad)) == 9
