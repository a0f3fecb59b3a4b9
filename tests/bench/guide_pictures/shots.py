"""What each picture of the guide shows: whose page, what is done on it, and which part is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page

_COMPLAINT = "bucks n jerks lite throtle goin uphill only wen warm"
_PAST = (
    "Order No,Reflash Date,Make,Model,Complaint,Bulletin,Comeback Date\n"
    "1801,2026-03-02,Tarn,Skerra,stalls at stop lights,Skerra-07,\n"
    "1807,2026-03-09,Tarn,Skerra,dies coming to a stop,Skerra-07,2026-03-30\n"
)


def _as_it_is(page: Page) -> None:
    """Nothing is done on the page before it is taken."""


@dataclass(frozen=True, slots=True)
class Shot:
    """`of` are CSS selectors: the picture is as high as from the first match of one to that of another.

    `who` is a role. In `path`, {2087} is the number of that repair order's first concern.
    """

    name: str
    who: str
    path: str
    of: tuple[str, ...]
    first: Callable[[Page], None] = _as_it_is


def _type_the_complaint(page: Page) -> None:
    page.locator("[name=complaint]").fill(_COMPLAINT)
    page.locator("label", has_text="warm engine").first.click()


def _choose_past_repairs(page: Page) -> None:
    page.locator("[name=file]").set_input_files(
        {"name": "repairs.csv", "mimeType": "text/csv", "buffer": _PAST.encode()}
    )
    page.get_by_role("button", name="Look at it", exact=True).click()
    page.get_by_role("heading", name="What would come in").wait_for()


def _name_a_newcomer(page: Page) -> None:
    page.locator("#name").fill("dana")
    page.locator("#display_name").fill("Dana R.")


def _measure(page: Page) -> None:
    page.locator("#place-battery input[inputmode=decimal]").first.fill("12.6")


def _fold(page: Page) -> None:
    page.evaluate("document.querySelectorAll('.steps details').forEach((one) => one.open = false)")


def _back_up(page: Page) -> None:
    page.get_by_role("button", name="Back up now").click()
    page.get_by_role("link", name="save the check sheet").first.wait_for()


DEMO = (
    Shot(
        "new-concern",
        "tech",
        "/concerns/new",
        (".field:has(> #complaint)", "#more-conditions"),
        _type_the_complaint,
    ),
    Shot("step", "tech", "/concerns/{2087}", ("section.advice .verdict", "section.advice .strip")),
    Shot("stop", "tech", "/concerns/{2082}", ("section.stop",)),
    Shot(
        "prep",
        "tech",
        "/concerns/{2078}/prep",
        ("#place-battery summary", "#place-battery li:nth-child(2)"),
        _measure,
    ),
    Shot("failed", "tech", "/concerns/{2078}/failed", ("h1", ".acts")),
    Shot(
        "calls",
        "tech",
        "/concerns",
        ("#calls", "#calls ~ form"),
    ),
    Shot("notes", "lead", "/notes", (".split",)),
    Shot(
        "import",
        "lead",
        "/imports",
        ("section:has(> #would)", "#columns", "tbody tr:nth-child(2)"),
        _choose_past_repairs,
    ),
    Shot("check", "lead", "/shop/checks", ("tbody tr:nth-child(1)",)),
    Shot("sign-off", "lead", "/shop/people", ("main section",)),
    Shot("review", "owner", "/review", (".lead p:nth-child(3)", ".lead p:nth-child(4)")),
    Shot("week", "owner", "/review/week", ("h1", "main section:nth-of-type(2)")),
    Shot("here-or-out", "owner", "/review/here-or-sent-out", ("h1", "p.lead:nth-of-type(3)")),
    Shot("guess", "owner", "/shop/settings", ("#g1", "section:has(> #g1) li")),
)
OWN = (
    Shot("first-steps", "owner", "/concerns", ("section.steps",), _fold),
    Shot("people", "owner", "/shop/people", ("#add", "section:has(> #add) .acts"), _name_a_newcomer),
    Shot("backups", "owner", "/shop/backups", ("h1", "section:has(> #copies) table"), _back_up),
    Shot("reach", "owner", "/shop/reach", ("#address", "section:has(> #address) code")),
)
TILES = Shot("tiles", "", "/concerns", ("h1", ".tiles"))
FIRST_RUN = Shot("first-run", "", "/first-run", ("h1", "[name=display_name]"))
TRUST = Shot("trust", "", "/", ("#compare", "section:has(> #compare) code"))
