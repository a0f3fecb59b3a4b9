"""What is at hand by make for when programming fails."""

from __future__ import annotations

from api.deps import SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.prep import FailureSheetBody, FailureSheetOut
from kb.desk.shop import failure_sheets
from kb.nouns.bay.failure_sheets import FailureSheetDraft

router = Router(prefix="/failure-sheets", tags=["equipment"])


@router.get("")
def list_failure_sheets(call: SignedInCall) -> list[FailureSheetOut]:
    """Support line and hours, latest start of the day, price and days of a module, tow: one a make."""
    with call.reading() as desk:
        found = failure_sheets.list_failure_sheets(desk)
        return [FailureSheetOut.told(one, desk.shop.currency) for one in found]


@router.put("/{make}", responses=CONFLICT)
def put_failure_sheet(make: Word, body: FailureSheetBody, call: SignedInCall) -> FailureSheetOut:
    """For the lead and the owner: write a make's sheet, whole; `version` 0 for a new one."""
    with call.writing() as desk:
        currency = desk.shop.currency
        draft = body.as_value(FailureSheetDraft, currency, make=make)
        return FailureSheetOut.told(failure_sheets.put_failure_sheet(desk, draft, body.version), currency)
