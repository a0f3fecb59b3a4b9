"""A note's whole content as a JSON tree, and back: what a kept revision and a conflict carry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from kb.nouns.notes import NoteDocument, NoteDraft, NoteKind, NoteState
from kb.nouns.vehicles import CalibrationStep, CoverageLine

_TEXTS = ("title", "number", "symptom", "body", "conditions", "system", "source", "identity")
_LINES = ("codes", "precautions", "relearns", "exact_entries")


def in_stored_order(draft: NoteDraft) -> NoteDraft:
    """The draft as it is read back: each trouble code once, in order."""
    return replace(draft, codes=tuple(sorted(set(draft.codes))))


def to_content(draft: NoteDraft) -> dict[str, Any]:
    """Everything of the draft; dates as ISO text, years as [first, last] pairs."""
    return {
        "kind": draft.kind.value,
        "state": draft.state.value,
        "published_on": _iso(draft.published_on),
        **{name: getattr(draft, name) for name in _TEXTS},
        **{name: list(getattr(draft, name)) for name in _LINES},
        "coverage": [_line_content(line) for line in draft.coverage],
        "steps": [{"module": s.module, "old_ids": list(s.old_ids), "new_id": s.new_id} for s in draft.steps],
        "documents": [{"name": d.name, "text": d.text} for d in draft.documents],
    }


def from_content(content: Mapping[str, Any]) -> NoteDraft:
    """The draft that `to_content` wrote; a field that an older revision lacks takes its default."""
    return NoteDraft(
        kind=NoteKind(content["kind"]),
        state=NoteState(content["state"]),
        published_on=_day(content.get("published_on")),
        **_named(content),
        coverage=tuple(_line(line) for line in content.get("coverage", ())),
        steps=tuple(
            CalibrationStep(s["module"], tuple(s["old_ids"]), s["new_id"]) for s in content.get("steps", ())
        ),
        documents=tuple(NoteDocument(d["name"], d["text"]) for d in content.get("documents", ())),
    )


def _named(content: Mapping[str, Any]) -> dict[str, Any]:
    texts = {name: content.get(name, "") for name in _TEXTS}
    return {**texts, **{name: tuple(content.get(name, ())) for name in _LINES}}


def _line_content(line: CoverageLine) -> dict[str, Any]:
    return {
        "make": line.make,
        "model": line.model,
        "years": [list(pair) for pair in line.years],
        "engine": line.engine,
        "built_from": _iso(line.built_from),
        "built_to": _iso(line.built_to),
        "vin_prefix": line.vin_prefix,
    }


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
