"""A note's whole content as a JSON tree, and back: what a kept revision and a conflict carry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields, replace
from datetime import date
from typing import Any

from kb.nouns.notes import (
    CodeKind,
    NoteCode,
    NoteDocument,
    NoteDraft,
    NoteKind,
    NoteState,
    Remedy,
    SpeaksAgainst,
)
from kb.nouns.vehicles import CalibrationStep, CoverageLine

_TEXTS = ("title", "number", "symptom", "body", "conditions", "remedy_module", "system", "source", "identity")
LINES = ("precautions", "relearns", "exact_entries", "replaces")
"""Texts of which a note has any number."""
_OF_A_LINE = tuple(one.name for one in fields(CoverageLine))


def in_stored_order(draft: NoteDraft) -> NoteDraft:
    """The draft as it is read back: each trouble code once, as first said of it, in order."""
    said = {one.code: one for one in reversed(draft.codes)}
    return replace(draft, codes=tuple(said[code] for code in sorted(said)))


def own_columns(draft: NoteDraft) -> dict[str, Any]:
    """What of the draft stands in the note's own row, by column."""
    return {
        "kind": draft.kind.value,
        "state": draft.state.value,
        "published_on": draft.published_on,
        **{name: getattr(draft, name) for name in _TEXTS},
        **{name: list(getattr(draft, name)) for name in LINES},
        "speaks_against": [asdict(one) for one in draft.speaks_against],
        "remedy": draft.remedy.value,
    }


def line_columns(line: CoverageLine) -> dict[str, Any]:
    """A line of coverage by column; years as [first, last] pairs."""
    return {name: getattr(line, name) for name in _OF_A_LINE} | {"years": [list(pair) for pair in line.years]}


def step_columns(step: CalibrationStep) -> dict[str, Any]:
    return {"module": step.module, "old_ids": list(step.old_ids), "new_id": step.new_id}


def to_content(draft: NoteDraft) -> dict[str, Any]:
    """Everything of the draft; dates as ISO text, years as [first, last] pairs."""
    return {
        **own_columns(draft),
        "published_on": _iso(draft.published_on),
        "codes": [one.code for one in draft.codes],
        "code_kinds": {code: kind.value for code, kind in draft.code_kinds.items()},
        "coverage": [
            line_columns(line) | {"built_from": _iso(line.built_from), "built_to": _iso(line.built_to)}
            for line in draft.coverage
        ],
        "steps": [step_columns(step) for step in draft.steps],
        "documents": [{"name": d.name, "text": d.text} for d in draft.documents],
    }


def from_content(content: Mapping[str, Any]) -> NoteDraft:
    """The draft that `to_content` wrote; a field that an older revision lacks takes its default.

    A code of which it does not say the kind may be stored; calibration steps without a remedy mean software.
    """
    kinds = content.get("code_kinds", {})
    steps = tuple(
        CalibrationStep(s["module"], tuple(s["old_ids"]), s["new_id"]) for s in content.get("steps", ())
    )
    return NoteDraft(
        kind=NoteKind(content["kind"]),
        state=NoteState(content["state"]),
        published_on=_day(content.get("published_on")),
        **_named(content),
        coverage=tuple(_line(line) for line in content.get("coverage", ())),
        codes=tuple(
            NoteCode(code, CodeKind(kinds.get(code, CodeKind.MAY_BE_STORED)))
            for code in content.get("codes", ())
        ),
        steps=steps,
        speaks_against=tuple(SpeaksAgainst(**one) for one in content.get("speaks_against", ())),
        remedy=Remedy.said_or_implied(content.get("remedy", ""), steps),
        documents=tuple(NoteDocument(d["name"], d["text"]) for d in content.get("documents", ())),
    )


def _named(content: Mapping[str, Any]) -> dict[str, Any]:
    texts = {name: content.get(name, "") for name in _TEXTS}
    return {**texts, **{name: tuple(content.get(name, ())) for name in LINES}}


def _line(content: Mapping[str, Any]) -> CoverageLine:
    return CoverageLine(
        make=content["make"],
        model=content.get("model", ""),
        years=tuple((int(a), int(b)) for a, b in content.get("years", ())),
        engine=content.get("engine", ""),
        built_from=_day(content.get("built_from")),
        built_to=_day(content.get("built_to")),
        vin_prefix=content.get("vin_prefix", ""),
    )


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
