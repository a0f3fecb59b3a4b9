"""Findings: what a check said on one concern. A second tap replaces the first, and can take it back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.concerns import Finding, FindingResult
from kb.records.store.bay import case as store
from kb.records.tables import FindingRow


@anyone_in_the_shop
def put_finding(desk: Desk, concern_id: int, check: str, result: FindingResult, value: str = "") -> None:
    """Record a check's result. `not_done` takes it back; nothing of it counts then."""
    put_findings(desk, concern_id, (Finding(check, result, value),))


@anyone_in_the_shop
def put_findings(desk: Desk, concern_id: int, found: Sequence[Finding]) -> None:
    """Record several results at once, as from a sheet filled in at the vehicle: all or none."""
    concerns_desk.on_file(desk, concern_id)
    ids = checks_on_file.ids_by_key(desk)
    unknown = next((one.check for one in found if one.check not in ids), None)
    if unknown is not None:
        raise NotFound(f"There is no check {unknown!r}.")
    rows = {row.check_id: row for row in store.finding_rows(desk.session, concern_id)}
    before = {one.check: rows[ids[one.check]].result for one in found if ids[one.check] in rows}
    new: dict[int, dict[str, Any]] = {}
    for one in found:
        check_id = ids[one.check]
        saved = {
            "result": one.result.value,
            "value": one.value.strip(),
            "by": desk.actor.name,
            "at": desk.now,
        }
        row = rows.get(check_id)
        if row is None:
            new[check_id] = {"concern_id": concern_id, "check_id": check_id, **saved}
        else:
            row.sqlmodel_update(saved)
    store.insert_rows(desk.session, FindingRow, list(new.values()))
    desk.note_down(
        "found", "concern", concern_id, results={one.check: one.result.value for one in found}, before=before
    )


@anyone_in_the_shop
def clear_finding(desk: Desk, concern_id: int, check: str) -> None:
    """Take a result back; the trail keeps that it was there."""
    put_finding(desk, concern_id, check, FindingResult.NOT_DONE)
