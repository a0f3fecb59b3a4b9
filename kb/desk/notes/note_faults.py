"""What a note must satisfy before it is saved or published, and what a writer should be warned of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from kb.errors import BadInput
from kb.nouns.model_years import UNKNOWN_YEAR, check_day, check_year
from kb.nouns.notes import NoteCode, NoteDraft, NoteKind, Remedy, SpeaksAgainst, folded_name
from kb.nouns.shop.secrets_named import secrets_named
from kb.nouns.vehicles import CalibrationStep, CoverageLine, fold_id
from kb.vehicle.codes import note_code, parse_code
from kb.vehicle.families import fold
from kb.vehicle.lineage import Lineage
from kb.vehicle.makes import folded_make

LONGEST_SAID = 200
"""Room for a printed sentence: what a paper proposes is not refused when it is taken."""


def tidy_note(draft: NoteDraft, this_year: int) -> NoteDraft:
    """The draft with codes in their one form and blank lines dropped.

    A code that many faults set is never defining; calibration steps without a remedy mean software. Raises
    BadInput that names every field at fault: no title, a code that is none, a model year outside 1886 to next
    year + 1, a step without module or new ID, a lesson with calibration steps.
    """
    faults: dict[str, str] = {}
    if not draft.title.strip():
        faults["title"] = "A note needs a title."
    if draft.steps and draft.kind is not NoteKind.BULLETIN:
        faults["steps"] = "Only a bulletin has calibration steps. Change the kind, or describe them as text."
    codes = _codes(draft.codes, faults)
    against = _against(draft.speaks_against, faults)
    replaces = {folded_name(name): name.strip() for name in reversed(draft.replaces) if name.strip()}
    if fold_id(draft.number) in replaces.keys() - {""}:
        faults["replaces"] = "A note cannot replace itself: name the older one."
    for line in draft.coverage:
        _look_at_line(line, this_year, faults)
    _look_at_day(draft.published_on, "published_on", this_year, faults)
    steps = tuple(_step(step, faults) for step in draft.steps)
    if faults:
        raise BadInput(" ".join(faults.values()), fields=faults)
    return replace(
        draft,
        title=draft.title.strip(),
        number=draft.number.strip(),
        codes=codes,
        steps=steps,
        speaks_against=against,
        replaces=tuple(reversed(replaces.values())),
        remedy=Remedy.said_or_implied(draft.remedy, steps),
        remedy_module=draft.remedy_module.strip(),
        precautions=_lines(draft.precautions),
        relearns=_lines(draft.relearns),
        exact_entries=tuple(entry for entry in draft.exact_entries if entry.strip()),
    )


def refuse_future(draft: NoteDraft, today: date) -> NoteDraft:
    """The draft; BadInput where it says that it was published on a day to come."""
    if draft.published_on is not None and draft.published_on > today:
        raise BadInput(
            f"Published on {draft.published_on} is still to come. Enter the day that is printed on it.",
            fields={"published_on": "not after today"},
        )
    return draft


def secret_warnings(draft: NoteDraft) -> tuple[str, ...]:
    """A sentence for each kind of secret that a note seems to hold; notes are read by everybody."""
    text = "\n".join((draft.title, draft.symptom, draft.body, draft.conditions, *draft.exact_entries))
    return tuple(
        f"This looks like {name}. No key codes, immobilizer PINs or passwords in notes: take it out."
        for name in secrets_named(text)
    )


def folded_makes(makes: Iterable[str]) -> frozenset[str]:
    """The makes for comparing; a note that names none stands in a group of its own, ""."""
    return frozenset(folded_make(make) for make in makes) or frozenset({""})


def refuse_circle(draft: NoteDraft, others: Iterable[tuple[frozenset[str], CalibrationStep]]) -> None:
    """BadInput naming the IDs where the draft's steps would close a circle with `others`.

    `others` are the published steps with the folded makes of their notes; only those of a make and module
    of the draft are looked at.
    """
    if not draft.steps:
        return
    modules = {fold(step.module) for step in draft.steps}
    beside = [(makes, step) for makes, step in others if fold(step.module) in modules]
    for make in folded_makes(line.make for line in draft.coverage):
        Lineage.of([*(step for makes, step in beside if make in makes), *draft.steps])


def _codes(typed: Iterable[NoteCode], faults: dict[str, str]) -> tuple[NoteCode, ...]:
    """Each code once, as first said of it, in order."""
    found: dict[str, NoteCode] = {}
    for one in typed:
        try:
            code = str(parse_code(one.code))
            found.setdefault(code, note_code(code, one.kind))
        except BadInput as fault:
            faults["codes"] = fault.message
    return tuple(found[code] for code in sorted(found))


def _against(typed: Iterable[SpeaksAgainst], faults: dict[str, str]) -> tuple[SpeaksAgainst, ...]:
    """Each said once; where it is said twice, the one that names its check."""
    found: dict[str, SpeaksAgainst] = {}
    for one in typed:
        says = " ".join(one.says.split())
        if len(says) > LONGEST_SAID:
            faults["speaks_against"] = (
                f"“{says[:40]}…” is too long: say one condition in at most {LONGEST_SAID} characters."
            )
        held = found.get(says.casefold())
        if says and (held is None or (one.check.strip() and not held.check)):
            found[says.casefold()] = SpeaksAgainst(says, one.check.strip())
    return tuple(found.values())


def _look_at_day(day: date | None, field: str, this_year: int, faults: dict[str, str]) -> None:
    try:
        day and check_day(day, this_year, field)
    except BadInput as fault:
        faults[field] = fault.message


def _look_at_line(line: CoverageLine, this_year: int, faults: dict[str, str]) -> None:
    if not line.make.strip():
        faults["coverage"] = "Each line of coverage needs a make."
    if line.built_from and line.built_to and line.built_from > line.built_to:
        faults["coverage"] = "The first build date is after the last one."
    for day in (line.built_from, line.built_to):
        _look_at_day(day, "coverage", this_year, faults)
    for first, last in line.years:
        if first > last:
            faults["years"] = f"Model years {first}-{last} run backward."
        for year in (first, last):
            try:
                year == UNKNOWN_YEAR or check_year(year, this_year)
            except BadInput as fault:
                faults["years"] = fault.message


def _step(step: CalibrationStep, faults: dict[str, str]) -> CalibrationStep:
    if not step.module.strip() or not step.new_id.strip():
        faults["steps"] = "A calibration step needs its module and its new ID."
    return CalibrationStep(step.module.strip(), _lines(step.old_ids), step.new_id.strip())


def _lines(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines if line.strip())
