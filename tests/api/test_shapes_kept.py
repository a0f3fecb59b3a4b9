"""What others have built on stays: every call, parameter and field of the interface as it was landed."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from tests.api.shapes import differences, shapes_of

AGREED = Path(__file__).parent / "agreed_shapes.json"
"""Calls, parameters, bodies and answers of the interface before its bodies became the desk's own values."""


ADDED = {
    "has_pin",
    "pin_is_shut",
    "by_way",
    "body.old_password",
    "parameters.way",
    "steps.way",
    "candidates.ways",
    "candidates.ways_sentence",
    "body.way",
    "body.why_not",
    "reflashes.way",
    "clocks",
    "next_up",
    "other_lines.clocks",
    "other_lines.next_up",
    "groups.lines.clocks",
    "groups.lines.next_up",
    "cameras.known",
    "cameras.signers",
    "places.items.signers",
    "authorizations.declined",
    "authorizations.number_called",
    "authorizations.proposed",
    "body.declined",
    "body.number_called",
    "body.proposed",
    "body.calibrations.moment",
    "body.calibrations.more",
    "body.modules.cvn_before",
    "body.moment",
    "body.more",
    "calibrations.reading.by",
    "calibrations.reading.event_id",
    "calibrations.reading.moment",
    "calibrations.reading.more",
    "compared",
    "reading.by",
    "reading.event_id",
    "reading.moment",
    "reading.more",
    "reflashes.cvn_after",
    "reflashes.cvn_before",
    "body.vin",
    "when_it_fails",
    "findings.cause",
    "findings.not_before",
    "steps.not_before",
    "body.same_number",
    "parameters.mine",
    "parameters.module",
    "parameters.waiting_for",
    "groups.lines.waiting",
    "other_lines.waiting",
    "waiting",
    "calibrations.reading.read_at",
    "reading.read_at",
    "asked_first.said_by",
    "body.measure",
    "content.measure",
    "findings.below_zero",
    "findings.fits",
    "findings.left_open",
    "findings.limit",
    "findings.number",
    "findings.unit",
    "unit",
    "body.encoding",
    "body.header_line",
    "body.separator",
    "body.sheet",
    "body.suggest",
    "body.take_texts",
    "errors.column",
    "file_kept",
    "left_out_kept",
    "cautions.danger",
    "other_lines.other_cause",
    "body.options",
    "parameters.Idempotency-Key",
    "parameters.after",
    "parameters.limit",
    "parameters.read_vehicle",
    "gates.numbers",
    "groups.lines.other_cause",
    "heard",
    "heard_on",
    "not_wanted",
    "numbers",
    "other_cause",
    "proposed",
    "read_vehicle",
    "reflashes_read",
    "texts_not_read",
    "results.replaced_by",
    "body.replaces",
    "content.replaces",
    "replaces",
    "results.also",
    "update_id",
}
"""What a program is told or may ask besides: values of the desk go out as they stand."""
CALLS = {
    "GET /api/me/tokens",
    "POST /api/me/tokens",
    "DELETE /api/me/tokens/{token_id}",
    "GET /api/reports/week",
    "GET /api/reports/month",
    "GET /api/reports/money/by-way",
    "GET /api/sign-offs",
    "GET /api/sign-offs/needed",
    "GET /api/users/{user_id}/sign-offs",
    "POST /api/users/{user_id}/sign-offs",
    "POST /api/sign-offs/{sign_off_id}/end",
    "POST /api/users/{user_id}/access",
    "POST /api/access/{access_id}/end",
    "GET /api/reports/here-or-sent-out",
    "GET /api/equipment/upkeep",
    "PUT /api/equipment/{equipment_id}/cost",
    "POST /api/equipment/{equipment_id}/versions",
    "GET /api/clocks",
    "POST /api/clocks/{clock_id}/end",
    "POST /api/concerns/{concern_id}/clocks",
    "PUT /api/concerns/{concern_id}/next",
    "POST /api/concerns/{concern_id}/prep/replaced-module-done",
    "GET /api/failure-sheets",
    "PUT /api/failure-sheets/{make}",
    "PUT /api/concerns/{concern_id}/waiting",
    "DELETE /api/concerns/{concern_id}/waiting",
    "GET /api/checks/deciding",
    "GET /api/checks/{check_id}/counts",
    "POST /api/checks/{check_id}/use-counts",
    "GET /api/concerns/{concern_id}/lesson",
    "GET /api/concerns/{concern_id}/ro-text",
    "GET /api/concerns/{concern_id}/customer-word",
    "GET /api/notes/export",
    "POST /api/notes/read",
    "POST /api/read",
    "GET /api/concerns/{concern_id}/readings",
    "GET /api/concerns/{concern_id}/known-ids",
    "GET /api/vehicles/known",
    "POST /api/concerns/{concern_id}/readings/{reading_id}/strike",
    "POST /api/concerns/{concern_id}/snapshots",
    "GET /api/concerns/{concern_id}/photos",
    "POST /api/concerns/{concern_id}/photos",
    "GET /api/photos/{photo_id}",
    "DELETE /api/photos/{photo_id}",
    "POST /api/notes/alike",
    "GET /api/notes/{note_id}/looked-at",
    "POST /api/notes/{note_id}/looked-at",
    "POST /api/notes/{note_id}/restore",
    "GET /api/imports/{import_id}/reflashes-read",
    "GET /api/imports/{import_id}/reflashes-read/{group}",
    "POST /api/imports/{import_id}/reflashes-read",
    "POST /api/imports/{import_id}/reflashes-read/{group}",
    "GET /api/notes/bulk",
    "GET /api/notes/bulk/{bulk_id}",
    "POST /api/notes/bulk",
    "POST /api/notes/bulk/plan",
    "POST /api/notes/bulk/{bulk_id}/undo",
    "GET /api/imports/{import_id}/left-out",
    "POST /api/imports/{import_id}/resume",
    "GET /api/proposals",
    "GET /api/proposals/{proposal_id}",
    "POST /api/proposals",
    "POST /api/proposals/{proposal_id}/add-check",
    "POST /api/proposals/{proposal_id}/correct",
    "POST /api/proposals/{proposal_id}/decline",
    "POST /api/proposals/{proposal_id}/publish",
    "POST /api/proposals/{proposal_id}/withdraw",
    "GET /api/way-prices",
    "PUT /api/way-prices",
    "POST /api/way-prices/{price_id}/retire",
    "GET /api/sent-out",
    "GET /api/concerns/{concern_id}/sent-out",
    "POST /api/concerns/{concern_id}/sent-out",
    "DELETE /api/concerns/{concern_id}/sent-out",
    "POST /api/concerns/{concern_id}/sent-out/result",
}
"""The calls that came since."""


_FINDING = "PUT /api/concerns/{concern_id}/findings/{check}"
_CODES = "PUT /api/concerns/{concern_id}/codes"
_SOURCE = "string(read|photo|typed|label) became string(read|photo|typed|label|records)"
_BEFORE = "string(yes|no|not_tried) became ['or', '#Duplicated', 'null']"
WIDENED = {
    "GET /api/search parameters.year: ['or', 'integer', 'null'] became ['or', 'integer', 'null', 'string()']",
    f"POST /api/concerns body.calibrations.source: {_SOURCE}",
    f"PUT /api/concerns/{{concern_id}} body.calibrations.source: {_SOURCE}",
    f"PUT /api/concerns/{{concern_id}}/calibrations/{{module}} body.source: {_SOURCE}",
    f"POST /api/programming-events body.modules.calibration_source: {_SOURCE}",
    f"POST /api/programming-events body.duplicated_before: {_BEFORE}",
    f"{_CODES} body.codes: string became ['or', ['list', '#CodeBody'], 'string']",
    f"{_FINDING} body.result: string(yes|no|not_done|inconclusive) became ['or', '#FindingResult', 'null']",
    f"{_FINDING} body.value: string became ['or', 'number', 'string']",
    f"{_FINDING} answers.200.value: string became ['or', 'number', 'string']",
    (
        "GET /api/follow-ups parameters.due: ['or', 'null', 'string:date'] became "
        "['or', 'null', 'string(|1|true|yes)', 'string:date']"
    ),
}
"""A measured number may be sent, and only then comes back as one, and codes with their modules; who sends
texts is answered as before.
"""


def test_nothing_of_it_is_gone_or_of_another_kind(described: Any) -> None:
    agreed = json.loads(AGREED.read_text("utf-8"))
    found = set(differences(agreed, shapes_of(described)))
    new = {one for one in found if one.endswith(" is new")}
    assert found - new == WIDENED
    calls = {f"{one} is new" for one in CALLS}
    assert calls <= new
    told = new - calls
    assert {re.sub(r"^\S+ \S+ (answers\.\d+\.)?(.*) is new$", r"\2", one) for one in told} == ADDED


def test_what_is_gone_or_of_another_kind_is_noticed() -> None:
    fields = {"a": "string", "b?": "integer", "c": ["list", "#Inner"]}
    call = {"parameters": {"q?": "string"}, "body": None, "answers": {"200": "#Outer"}}
    was = {"calls": {"GET /x": call, "GET /y": call}, "named": {"Outer": fields, "Inner": {"d": "number"}}}
    call = {"parameters": {"q": "string"}, "body": None, "answers": {"200": "#Whole"}}
    whole = {"a": "string(x|y)", "b": "integer", "c": ["list", {"d": "string"}], "e": "string"}
    assert sorted(differences(was, {"calls": {"GET /x": call}, "named": {"Whole": whole}})) == [
        "GET /x answers.200.c.d: number became string",
        "GET /x answers.200.e is new",
        "GET /x parameters.q is always there",
        "GET /y is gone",
    ]
