"""Findings: what a check said on one concern. A second tap replaces the first, and can take it back.

A measured number decides the result itself. It stays through a tap that it does not speak against.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kb.advice.checks.measured import cannot_be, limit_said, limits_here, result_of
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.limits_on_concern import printing_notes
from kb.desk.bay.handover import clocks
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, NotFound
from kb.nouns.bay.measures import Measure, plain_number
from kb.nouns.checks import CheckView
from kb.nouns.concerns import Finding, FindingResult
from kb.nouns.recorded_words import result_word
from kb.records.store.bay import case as store
from kb.records.tables import FindingRow

_SAID = (FindingResult.YES, FindingResult.NO)


@dataclass(frozen=True, slots=True)
class Recorded:
    """A finding as it was written down: its result, and the number with its unit where one was measured."""

    check: str
    result: FindingResult
    value: str = ""
    number: float | None = None
    unit: str = ""


@anyone_in_the_shop
def put_finding(
    desk: Desk,
    concern_id: int,
    check: str,
    result: FindingResult | None,
    value: str = "",
    number: float | None = None,
) -> Recorded:
    """Record a check's result, or the number that decides it. `not_done` takes it back: nothing counts."""
    (recorded,) = put_findings(desk, concern_id, (Finding(check, result, value, number),))
    return recorded


@anyone_in_the_shop
def put_findings(desk: Desk, concern_id: int, found: Sequence[Finding]) -> tuple[Recorded, ...]:
    """Record several results at once, as from a sheet filled in at the vehicle: all or none.

    Raises NotFound for a check that is none, BadInput for a number that cannot be or says otherwise.
    """
    concerns_desk.on_file(desk, concern_id)
    checks = checks_on_file.by_key(desk)
    unknown = next((one.check for one in found if one.check not in checks), None)
    if unknown is not None:
        raise NotFound(f"There is no check {unknown!r}.")
    rows = {row.check_id: row for row in store.finding_rows(desk.session, concern_id)}
    before = {one.check: rows[checks[one.check].id].result for one in found if checks[one.check].id in rows}
    kept = [_with_number(desk, concern_id, one, checks[one.check], rows) for one in found]
    new: dict[int, dict[str, Any]] = {}
    for one in kept:
        check_id = checks[one.check].id
        saved = {
            "result": one.result.value,
            "value": one.value.strip(),
            "number": one.number,
            "unit": one.unit,
            "by": desk.actor.name,
            "at": desk.now,
        }
        row = rows.get(check_id)
        if row is None:
            new[check_id] = {"concern_id": concern_id, "check_id": check_id, **saved}
        else:
            row.sqlmodel_update(saved)
    store.insert_rows(desk.session, FindingRow, list(new.values()))
    clocks.answered(desk, concern_id, [one.check for one in kept if one.result in _SAID])
    told: dict[str, Any] = {"results": {one.check: one.result.value for one in kept}, "before": before}
    numbers = {one.check: f"{plain_number(one.number)} {one.unit}" for one in kept if one.number is not None}
    desk.note_down("found", "concern", concern_id, **told, **({"numbers": numbers} if numbers else {}))
    return tuple(kept)


@anyone_in_the_shop
def clear_finding(desk: Desk, concern_id: int, check: str) -> None:
    """Take a result back; the trail keeps that it was there."""
    put_finding(desk, concern_id, check, FindingResult.NOT_DONE)


def _with_number(
    desk: Desk, concern_id: int, one: Finding, check: CheckView, rows: Mapping[int, FindingRow]
) -> Recorded:
    """The finding with what its number says; a tap keeps the number before it unless they differ."""
    measure, row = check.content.measure, rows.get(check.id)
    if one.number is None:
        if one.result is None:
            raise BadInput("Say what the check said, or the value.", fields={"result": "needed"})
        tapped = Recorded(one.check, one.result, one.value)
        if one.result not in _SAID or measure is None or row is None or row.number is None:
            return tapped
        agrees = _said(desk, concern_id, measure, row.number)[0] in (one.result, FindingResult.INCONCLUSIVE)
        return replace(tapped, number=row.number, unit=row.unit) if agrees else tapped
    if measure is None:
        words = f"{check.content.yes_word} or {check.content.no_word}"
        raise BadInput(
            f"“{check.content.name}” takes no number: say {words}.", fields={"value": "takes no number"}
        )
    wrong = cannot_be(measure, one.number) if math.isfinite(one.number) else "That is no number."
    if wrong:
        raise BadInput(wrong, fields={"value": wrong})
    result, limit = _said(desk, concern_id, measure, one.number)
    if result is FindingResult.INCONCLUSIVE and one.result in _SAID:
        result = one.result
    elif one.result in _SAID and one.result is not result:
        word = result_word(check.content, result)
        raise BadInput(
            f"{plain_number(one.number)} {measure.unit} says {word}: the limit is {limit}.",
            fields={"result": "differs"},
        )
    return Recorded(one.check, result, one.value, one.number, measure.unit)


def _said(desk: Desk, concern_id: int, measure: Measure, number: float) -> tuple[FindingResult, str]:
    """The result of a number by the limits that rule here, and those in words."""
    notes = printing_notes(desk, read_concern(desk, concern_id)) if measure.printed else {}
    limits = limits_here(measure, notes)
    return result_of(measure, limits, number), limit_said(measure, limits)
