"""What is at hand by make for when programming fails, entered by the lead."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import odd_entries
from kb.desk.shop import failure_sheets
from kb.errors import KbError
from kb.nouns.bay.failure_sheets import FailureSheet, FailureSheetDraft
from kb.nouns.currency import typed_amount
from web import words
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/when-it-fails")
_TEXTS = ("make", "support_line", "support_hours", "latest_start", "tow", "customer_sentence")


def _page(visit: Visit, make: str = "", refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        sheets = failure_sheets.list_failure_sheets(desk)
        without = failure_sheets.makes_without_sheet(desk)
        sheet = failure_sheets.failure_sheet(desk, make) if make else None
    version = refused.details.get("version") if refused else None
    return visit.page(
        "shop/failure_sheets.html",
        place="/shop",
        refused=refused,
        sheets=sheets,
        without=without,
        begin=_begin(sheet, make, visit.shop.facts.currency),
        version=version or visit.typed.whole("version") or (sheet.version if sheet else 0),
    )


@router.get("")
def show(visit: Somebody, make: str = "") -> Response:
    """Every make's sheet; that of `make` in the form."""
    return _page(visit, make)


@router.post("")
@shown_again(_page)
def save(visit: Somebody) -> Response:
    typed = visit.typed
    draft = FailureSheetDraft(
        **typed.texts(*_TEXTS),
        module_price_minor=typed.minor("module_price", visit.shop.facts.currency, "price"),
        module_days=typed.whole("module_days", "days"),
    )
    with visit.writing() as desk:
        slipped = odd_entries.unknown_makes(desk, (draft.make,))
        failure_sheets.put_failure_sheet(desk, draft, typed.whole("version") or 0)
    said = f"{draft.make}: saved. Prep lists and the page for a failure show it from now on."
    return visit.go("/shop/when-it-fails", said=" ".join((said, *slipped)))


def _begin(sheet: FailureSheet | None, make: str, currency: str) -> dict[str, str]:
    """The sheet as somebody would type it."""
    if sheet is None:
        return dict.fromkeys((*_TEXTS, "module_price", "module_days"), "") | {"make": make}
    it = sheet.content
    price, days = it.module_price_minor, it.module_days
    return {name: getattr(it, name) for name in _TEXTS} | {
        "latest_start": words.time_of_day(it.latest_start) if it.latest_start else "",
        "module_price": "" if price is None else typed_amount(price, currency),
        "module_days": "" if days is None else str(days),
    }
