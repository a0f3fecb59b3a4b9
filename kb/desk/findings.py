"""Findings: what a check said on one concern. A second tap replaces the first, and can take it back."""

from __future__ import annotations

from kb.desk import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.concerns import FindingResult
from kb.records.store import case as store
from kb.records.store import checks as check_store
from kb.records.tables import FindingRow


@anyone_in_the_shop
def put_finding(desk: Desk, concern_id: int, check: str, result: FindingResult, value: str = "") -> None:
    """Record a check's result. `not_done` takes it back; nothing of it counts then."""
    concerns_desk.on_file(desk, concern_id)
    known = check_store.check_with_key(desk.session, desk.shop.id, check)
    if known is None or known.id is None:
        raise NotFound(f"There is no check {check!r}.")
    row = store.finding(desk.session, concern_id, known.id)
    before = row.result if row else FindingResult.NOT_DONE.value
    if row is None:
        row = FindingRow(concern_id=concern_id, check_id=known.id, result="", by="", at=desk.now)
    row.result, row.value, row.by, row.at = result.value, value.strip(), desk.actor.name, desk.now
    store.add(desk.session, [row])
    desk.note_down("found", "concern", concern_id, check=check, result=result.value, before=before)


@anyone_in_the_shop
def clear_finding(desk: Desk, concern_id: int, check: str) -> None:
    """Take a result back; the trail keeps that it was there."""
    put_finding(desk, concern_id, check, FindingResult.NOT_DONE)
