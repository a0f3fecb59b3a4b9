"""The failure sheets: one a make, entered by the lead on a quiet day."""

from __future__ import annotations

from dataclasses import replace

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import changed, refuse_stale, saved
from kb.errors import BadInput
from kb.nouns.bay.failure_sheets import FailureSheet, FailureSheetDraft, WhenItFails
from kb.nouns.copying import columns_of, copied
from kb.nouns.currency import amount_said
from kb.prep.when_it_fails import read_clock, when_it_fails
from kb.records.store.shop import equipment as store
from kb.records.tables import FailureSheetRow
from kb.vehicle.families import fold

MOST_DAYS = 365
LONGEST = {
    "make": 80,
    "support_line": 80,
    "support_hours": 80,
    "tow": 120,
    "customer_sentence": 400,
}


@anyone_in_the_shop
def list_failure_sheets(desk: Desk) -> tuple[FailureSheet, ...]:
    """Every make's, by make."""
    return tuple(_view(row) for row in store.failure_sheets(desk.session, desk.shop.id))


@anyone_in_the_shop
def makes_without_sheet(desk: Desk) -> tuple[str, ...]:
    """Makes that the shop has requirements or subscriptions of, and no sheet."""
    asked = {one.make for one in store.requirements(desk.session, desk.shop.id)}
    named = {fold(one): one for one in (*asked, *store.makes_subscribed(desk.session, desk.shop.id))}
    known = {row.make_folded for row in store.failure_sheets(desk.session, desk.shop.id)}
    return tuple(sorted(make for folded, make in named.items() if folded not in known))


@anyone_in_the_shop
def failure_sheet(desk: Desk, make: str) -> FailureSheet | None:
    """A make's sheet, however its name is written; None where nobody wrote one."""
    row = store.failure_sheet(desk.session, desk.shop.id, fold(make))
    return _view(row) if row else None


@anyone_in_the_shop
def sheet_for(desk: Desk, make: str) -> WhenItFails:
    """What is at hand for a make now, by the shop's clock; a make without a sheet has all of it missing."""
    sheet = failure_sheet(desk, make)
    content = sheet.content if sheet else None
    price = content.module_price_minor if content else None
    said = "" if price is None else amount_said(price, desk.shop.currency)
    return when_it_fails(make, content, desk.now.astimezone(desk.shop.zone).time(), said)


@lead_or_owner
def put_failure_sheet(desk: Desk, draft: FailureSheetDraft, version: int = 0) -> FailureSheet:
    """Write a make's sheet, new with version 0. Raises Conflict where somebody saved since that version."""
    draft = replace(draft, latest_start=read_clock(draft.latest_start))
    _refuse_what_cannot_be(draft)
    told = columns_of(draft) | {"by": desk.actor.name, "looked_up_on": desk.today}
    row = store.failure_sheet(desk.session, desk.shop.id, fold(draft.make))
    if row is None:
        row = FailureSheetRow(shop_id=desk.shop.id, make_folded=fold(draft.make), **told)
    else:
        both = {"yours": draft.customer_sentence, "theirs": row.customer_sentence}
        said = f"Somebody saved the sheet of {row.make} meanwhile. Load it again."
        refuse_stale(row, version, said, **both)
        row = changed(row, told)
    return _view(saved(desk, row, "wrote", "failure sheet", "settings", make=draft.make))


def _refuse_what_cannot_be(draft: FailureSheetDraft) -> None:
    wrong = {
        name: f"up to {most} characters" for name, most in LONGEST.items() if len(getattr(draft, name)) > most
    }
    if not draft.make.strip():
        wrong["make"] = "name the make"
    if draft.module_days is not None and not 0 <= draft.module_days <= MOST_DAYS:
        wrong["module_days"] = f"0 to {MOST_DAYS} days"
    if draft.module_price_minor is not None and draft.module_price_minor < 0:
        wrong["module_price"] = "0 or more"
    if wrong:
        raise BadInput(named("The sheet cannot be saved like this", wrong), fields=wrong)


def _view(row: FailureSheetRow) -> FailureSheet:
    return copied(FailureSheet, row, content=copied(FailureSheetDraft, row))
