"""Diagnostic checks as the lead keeps them: what to do, its two words, and what it is believed to tell."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

from kb.advice.checks.measured import faults_of
from kb.desk.bay.advice.checks_on_file import COLUMNS, view_of
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import changed, refuse_stale, row_of
from kb.errors import BadInput
from kb.nouns.bay.measures import Measure
from kb.nouns.checks import LONGEST, LONGEST_SAID, CheckDraft, CheckView
from kb.nouns.starting_checks import System
from kb.records.store.notes import checks as store
from kb.records.store.notes import notes as note_store
from kb.records.tables import CheckRow

_RANGES = {
    "yes_in_10_cured": (0, 10, "from 0 to 10"),
    "yes_in_10_not": (0, 10, "from 0 to 10"),
    "minutes": (0, LONGEST, LONGEST_SAID),
    "wait_minutes": (0, LONGEST, LONGEST_SAID),
    "cost_minor": (0, 10**8, "not below 0, and no more than a vehicle costs"),
    "saved_minor": (0, 10**8, "not below 0, and no more than a vehicle costs"),
}


def tells_nothing(draft: CheckDraft) -> str:
    """A warning where both guesses are the same, so that no result moves the advice; else empty."""
    if draft.yes_in_10_cured != draft.yes_in_10_not:
        return ""
    return "Both guesses are the same: it tells nothing until the shop's own concerns say otherwise."


@anyone_in_the_shop
def read_check(desk: Desk, check_id: int) -> CheckView:
    """One check, retired or not; raises NotFound."""
    attached = store.attachments(desk.session, desk.shop.id)
    return view_of(_row(desk, check_id), tuple(attached.get(check_id, ())))


@lead_or_owner
def add_check(desk: Desk, draft: CheckDraft) -> CheckView:
    """A new check; its key is made from its name. Raises BadInput for a guess or a word that cannot be."""
    _refuse_bad(desk, draft)
    return _saved(desk, made_row(desk, draft), draft, "added")


def made_row(desk: Desk, draft: CheckDraft) -> CheckRow:
    """A row for a check that is known to be good, last in the lead's order, attached to no note yet."""
    key = _free_key(desk, draft.name)
    row = CheckRow(shop_id=desk.shop.id, key=key, author=desk.actor.name, **_columns(draft))
    return store.add(desk.session, row)


@lead_or_owner
def change_check(desk: Desk, check_id: int, version: int, draft: CheckDraft) -> CheckView:
    """Save the check anew. A stale version raises Conflict with both texts."""
    _refuse_bad(desk, draft)
    row, before = _row(desk, check_id), read_check(desk, check_id).content
    both = {"yours": asdict(draft), "theirs": asdict(before)}
    refuse_stale(row, version, f"{row.author} changed this check meanwhile.", **both)
    _refuse_another_unit(desk, check_id, before.measure, draft.measure)
    return _saved(desk, changed(row, _columns(draft) | {"author": desk.actor.name}), draft, "changed")


@lead_or_owner
def retire_check(desk: Desk, check_id: int) -> CheckView:
    """No longer offered; what it found on past concerns stays."""
    row = _row(desk, check_id)
    if row.retired_on is None:
        store.retire(desk.session, row, desk.today)
        desk.note_down("retired", "check", row.id)
        desk.bump("settings")
    return read_check(desk, check_id)


def _saved(desk: Desk, row: CheckRow, draft: CheckDraft, action: str) -> CheckView:
    desk.session.flush()
    store.attach(desk.session, row.id or 0, draft.attached_to)
    desk.note_down(action, "check", row.id, key=row.key, version=row.version)
    desk.bump("settings")
    return read_check(desk, row.id or 0)


def _row(desk: Desk, check_id: int) -> CheckRow:
    return row_of(desk, CheckRow, check_id, "There is no such check.")


def _free_key(desk: Desk, name: str) -> str:
    stem = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:50] or "check"
    key, count = stem, 1
    while store.check_with_key(desk.session, desk.shop.id, key) is not None:
        count += 1
        key = f"{stem}_{count}"
    return key


def _refuse_bad(desk: Desk, draft: CheckDraft) -> None:
    wrong: dict[str, str] = {}
    for name in ("name", "question", "yes_word", "no_word"):
        if not getattr(draft, name).strip():
            wrong[name] = "needed"
    if draft.yes_word.strip() and draft.yes_word.strip().casefold() == draft.no_word.strip().casefold():
        wrong["no_word"] = "must differ from the word for yes"
    for name, (low, high, said) in _RANGES.items():
        if not low <= getattr(draft, name) <= high:
            wrong[name] = said
    if not 0.01 <= draft.weight <= 1000:
        wrong["weight"] = "0.01 to 1,000"
    if draft.system not in {system.value for system in System}:
        wrong["system"] = "one of " + ", ".join(system.value for system in System)
    wrong |= faults_of(draft.measure) if draft.measure else {}
    wrong |= _missing_notes(desk, draft)
    if wrong:
        raise BadInput(named("The check cannot be saved like this", wrong), fields=wrong)


def _missing_notes(desk: Desk, draft: CheckDraft) -> dict[str, str]:
    printed = tuple(one.note_id for one in draft.measure.printed) if draft.measure else ()
    wrong: dict[str, str] = {}
    for name, ids in (("attached_to", draft.attached_to), ("printed", printed)):
        known = note_store.kinds_of(desk.session, desk.shop.id, ids)
        missing = [str(one) for one in ids if one not in known]
        if missing:
            wrong[name] = f"there is no note {', '.join(missing)}"
    return wrong


def _refuse_another_unit(desk: Desk, check_id: int, before: Measure | None, now: Measure | None) -> None:
    """Values on file are held against the check's limits: they must stay in its unit."""
    if before is None or (now is not None and now.unit == before.unit):
        return
    if store.has_values(desk.session, check_id):
        what = f"has values in {before.unit} on file; make a new check for another unit"
        raise BadInput(f"This check {what}.", fields={"unit": what})


def _columns(draft: CheckDraft) -> dict[str, Any]:
    measure = draft.measure.plain() if draft.measure else {}
    return {name: getattr(draft, name) for name in COLUMNS} | {"measure": measure}
