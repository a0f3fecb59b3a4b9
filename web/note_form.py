"""The form of a note: coverage and calibration steps as lines that a person can read and type."""

from __future__ import annotations

import re
from datetime import date

from api.typed.days import day_written
from kb.errors import BadInput
from kb.nouns.model_years import parse_years
from kb.nouns.notes import CodeKind, NoteCode, NoteDraft, NoteKind, NoteState, Remedy
from kb.nouns.starting_checks import System
from kb.nouns.vehicles import CalibrationStep, Coverage, CoverageLine
from web import speaks_against_form
from web.forms import TypedForm

SYSTEMS = tuple((system.value, system.value) for system in System if system is not System.NOTE)
CODE_FIELDS = (
    ("codes", CodeKind.DEFINING),
    ("codes_may_be_stored", CodeKind.MAY_BE_STORED),
    ("codes_not_part", CodeKind.NOT_PART),
)
_TEXTS = ("title", "number", "symptom", "body", "conditions")
_COVERAGE = "Make | Model | years | engine | built from..to | VIN prefix"
_STEP = "PCM: 0447B, 0447C -> 0447D"


def draft(typed: TypedForm) -> NoteDraft:
    """The form as a note. Raises BadInput naming the line that cannot be read."""
    return NoteDraft(
        kind=typed.one_of("kind", NoteKind, NoteKind.LESSON),
        **typed.texts(*_TEXTS, "remedy_module", "system"),
        codes=tuple(
            NoteCode(code, kind)
            for name, kind in CODE_FIELDS
            for code in re.split(r"[\s,;]+", typed.text(name))
            if code
        ),
        coverage=tuple(_coverage_line(line) for line in typed.lines("coverage")),
        steps=tuple(_step(line) for line in typed.lines("steps")),
        precautions=typed.lines("precautions"),
        relearns=typed.lines("relearns"),
        exact_entries=tuple(e for e in typed.raw("exact_entries").replace("\r\n", "\n").split("\n") if e),
        speaks_against=speaks_against_form.read(typed),
        replaces=tuple(part.strip() for part in re.split(r"[,;\n]+", typed.text("replaces")) if part.strip()),
        remedy=typed.one_of("remedy", Remedy, Remedy.NOT_SAID),
        state=typed.one_of("state", NoteState, NoteState.PUBLISHED),
        published_on=typed.day("published_on", "day of publication"),
    )


def as_typed(content: NoteDraft) -> dict[str, str]:
    """A note as the form would have it."""
    return {
        "kind": content.kind.value,
        **{name: getattr(content, name) for name in _TEXTS},
        **{
            name: " ".join(one.code for one in content.codes if one.kind is kind)
            for name, kind in CODE_FIELDS
        },
        "coverage": "\n".join(coverage_lines(content.coverage)),
        "steps": "\n".join(step_line(step) for step in content.steps),
        **{name: "\n".join(getattr(content, name)) for name in ("precautions", "relearns", "exact_entries")},
        "speaks_against": "\n".join(speaks_against_form.line(one) for one in content.speaks_against),
        "replaces": ", ".join(content.replaces),
        "remedy": content.remedy.value,
        "remedy_module": content.remedy_module,
        "system": content.system,
        "state": content.state.value,
        "published_on": content.published_on.isoformat() if content.published_on else "",
    }


def changes(after: NoteDraft, before: NoteDraft | None) -> tuple[tuple[str, str, str], ...]:
    """Field, text before, text after, of what differs between two versions."""
    if before is None:
        return ()
    old, new = as_typed(before), as_typed(after)
    return tuple((name.replace("_", " "), old[name], new[name]) for name in new if old[name] != new[name])


def coverage_lines(coverage: Coverage) -> tuple[str, ...]:
    """Such as "Tarn | Vale | 2014-2016, 2018 | 2.0 T"; empty fields at the end are left out."""
    return tuple(_line_words(line) for line in coverage)


def step_line(step: CalibrationStep) -> str:
    return f"{step.module}: {', '.join(step.old_ids)} -> {step.new_id}"


def _line_words(line: CoverageLine) -> str:
    years = line.years_said
    built = f"{line.built_from or ''}..{line.built_to or ''}" if line.built_from or line.built_to else ""
    parts = [line.make, line.model, years, line.engine, built, line.vin_prefix]
    while len(parts) > 1 and not parts[-1]:
        parts.pop()
    return " | ".join(parts)


def _coverage_line(line: str) -> CoverageLine:
    parts = [part.strip() for part in line.split("|")]
    if len(parts) > 6:
        raise BadInput(
            f"“{line}” has too many parts. A line reads: {_COVERAGE}.", fields={"coverage": _COVERAGE}
        )
    make, model, years, engine, built, prefix = (*parts, *[""] * (6 - len(parts)))
    first, last = _built(built)
    return CoverageLine(make, model, parse_years(years, "coverage"), engine, first, last, prefix)


def _built(text: str) -> tuple[date | None, date | None]:
    if not text:
        return None, None
    first, dots, last = text.partition("..")
    try:
        if not dots:
            raise ValueError(text)
        return (
            day_written(first.strip(), "coverage") if first.strip() else None,
            day_written(last.strip(), "coverage") if last.strip() else None,
        )
    except ValueError:
        raise BadInput(
            f"“{text}” is no span of build dates. Write 2016-02-01..2016-09-30; either end may be empty.",
            fields={"coverage": "build dates like 2016-02-01..2016-09-30"},
        ) from None


def _step(line: str) -> CalibrationStep:
    match = re.fullmatch(r"([^:]+):(.*?)(?:->|→|=>)(.*)", line)
    if match is None:
        raise BadInput(f"“{line}” is no calibration step. Write {_STEP}.", fields={"steps": _STEP})
    old_ids = tuple(one.strip() for one in match[2].split(",") if one.strip())
    return CalibrationStep(match[1].strip(), old_ids, match[3].strip())
