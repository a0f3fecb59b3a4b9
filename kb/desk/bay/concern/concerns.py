"""Concerns: opening one, correcting it, finding it again."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kb.desk.bay.advice import candidates as candidates_desk
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.concern import odometers, readings, ro_numbers, vehicles, vin_corrections
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.bay.search import search_use
from kb.desk.bay.search.search import matching_notes
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.saving import refuse_stale
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.bay.concern_file import ConcernLine, ref_of
from kb.nouns.concerns import CodesScanned, ConcernDraft, ReportedCode
from kb.nouns.notes import Grade
from kb.records.store.bay import case as case_store
from kb.records.store.bay import concerns as store
from kb.records.store.bay import writing
from kb.records.store.bay.concerns import ConcernRows
from kb.records.tables import ConcernRow

NOTES_SEEN = 10
LONGEST_TEXT = 10_000
"""Characters of a complaint. A phone book pasted by mistake is refused, and the form keeps it."""
_WORD = re.compile(r"[^\W_]{2}")
_LONGEST_GAP = 1_000  # days; three of them are a window of eight years


@dataclass(frozen=True, slots=True)
class Opened:
    """The new concern's id, its name on paper, and what a person should look at."""

    id: int
    ref: str
    warnings: tuple[str, ...]


@anyone_in_the_shop
def open_concern(desk: Desk, draft: ConcernDraft) -> Opened:
    """Take a complaint as a line of a repair order. Candidates and their grades are frozen now.

    Raises Conflict where another vehicle has the RO number (`ro_numbers.place`), BadInput for what is none.
    """
    draft = _checked(desk, draft, ro_numbers.what_is_none(draft.ro_number))
    read = vehicles.as_on_file(vehicles.read_vehicle(desk, draft.vehicle, confirmed=draft.vin_confirmed))
    placed = ro_numbers.place(desk, draft, read)
    draft = placed.draft
    offered = candidates_desk.offered_at_opening(desk, draft)
    seen = _seen(desk, draft, [one.grade for one in offered])
    order = ro_numbers.order_of(desk, placed)
    line = [(order.id or 0, draft)]
    [concern_id] = writing.add_concerns(desk.session, desk.stamp(), line, desk.bump("concerns"))
    readings.keep_of_opening(desk, concern_id, draft)
    candidates_desk.freeze(desk, concern_id, offered)
    ref = ref_of(order.number, draft.line)
    search_use.record_concern(desk, concern_id, draft.complaint, seen)
    desk.note_down("opened", "concern", concern_id, ref=ref)
    return Opened(concern_id, ref, read.warnings)


@anyone_in_the_shop
def change_concern(desk: Desk, concern_id: int, version: int, draft: ConcernDraft) -> Opened:
    """Correct the words, codes and vehicle facts of a concern. RO number and line stay, but for a number that
    was not there yet when it was opened.
    """
    held = on_file(desk, concern_id)
    sentence = (
        f"Somebody changed {ref_of(held.repair_order.number, held.concern.line)} meanwhile. "
        "Both texts are kept: compare them and save again."
    )
    both = {"yours": draft.complaint, "theirs": held.concern.complaint}
    refuse_stale(held.concern, version, sentence, **both)
    file = read_concern(desk, concern_id)
    ro_numbers.give_number(desk, held, draft.ro_number)
    row, number = held.concern, held.repair_order.number
    draft = _checked(desk, replace(draft, ro_number=number, line=row.line, opened_on=row.opened_on))
    draft = replace(draft, codes=readings.as_scanned(file, draft.codes))
    read = vehicles.read_vehicle(desk, draft.vehicle, confirmed=draft.vin_confirmed)
    before = ref_of(number, row.line)
    vin_corrections.correct_vehicle_of(desk, held, draft.vehicle, read)
    held = on_file(desk, concern_id)
    draft = replace(draft, line=held.concern.line)
    other_gap = draft.usual_gap_days != row.usual_gap_days
    row.sqlmodel_update(writing.columns(ConcernRow, draft))
    if other_gap:
        renew_outcomes(desk, [concern_id])
        desk.bump("outcomes")
    warnings = (
        *_renamed(before, held),
        *read.warnings,
        *odometers.correct_odometer(desk, held.repair_order, draft.odometer),
    )
    held.repair_order.phone = draft.phone
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    store.replace_codes(desk.session, concern_id, draft.codes)
    desk.session.flush()
    readings.keep_corrected_codes(desk, file, draft)
    desk.note_down("changed", "concern", concern_id, version=row.version)
    return Opened(concern_id, ref_of(held.repair_order.number, row.line), warnings)


@anyone_in_the_shop
def keeps_its_number(desk: Desk, concern_id: int, draft: ConcernDraft) -> None:
    """Raise BadInput where a form would give it another RO number or line, which stay."""
    ro_numbers.refuse_another(on_file(desk, concern_id), draft.ro_number, draft.line)


@anyone_in_the_shop
def read_line(desk: Desk, concern_id: int) -> ConcernLine:
    """One concern as a list shows it. Raises NotFound."""
    lines = concern_lines(desk, [concern_id])
    if concern_id not in lines:
        raise NotFound(f"There is no concern {concern_id} here.")
    return lines[concern_id]


@anyone_in_the_shop
def forget_phone(desk: Desk, concern_id: int) -> None:
    """Delete the customer's phone number and those that were called for an OK, as they may ask."""
    held = on_file(desk, concern_id)
    held.repair_order.phone = ""
    case_store.forget_numbers_called(desk.session, held.repair_order.id or 0)
    desk.bump("concerns")  # the calls that are remembered show it
    desk.session.flush()
    desk.note_down("forgot phone", "concern", concern_id)


def _renamed(before: str, held: ConcernRows) -> tuple[str, ...]:
    """A vehicle that it went to had that repair order already."""
    now = ref_of(held.repair_order.number, held.concern.line)
    return (f"{before} is {now} now: its vehicle had a {before} already.",) if now != before else ()


def _seen(desk: Desk, draft: ConcernDraft, offered: Sequence[Grade]) -> Sequence[Grade]:
    """How well the notes match that the complaint finds: the updates offered, or every note if none fits."""
    if any(grade is not Grade.WEAK for grade in offered):
        return offered
    said = said_of(draft)
    hits = matching_notes(desk, said.text, said.codes, draft.vehicle, NOTES_SEEN)
    return [hit.grade for hit in hits]


def on_file(desk: Desk, concern_id: int) -> ConcernRows:
    """The rows of a concern, for other use cases. Raises NotFound."""
    held = desk.once(("concern", concern_id), lambda: store.concern(desk.session, desk.shop.id, concern_id))
    if held is None:
        raise NotFound(f"There is no concern {concern_id} here.")
    return held


def still_open(desk: Desk, concern_id: int, before: str) -> ConcernRows:
    """The rows of an open concern. Raises NotFound, and Conflict for a closed one, which is opened again
    "before a clock runs on it".
    """
    held = on_file(desk, concern_id)
    if held.concern.state == "closed":
        ref = ref_of(held.repair_order.number, held.concern.line)
        raise Conflict(f"{ref} is closed. Open it again before {before}.")
    return held


def _checked(desk: Desk, draft: ConcernDraft, wrong: Mapping[str, str] | None = None) -> ConcernDraft:
    """The draft made ready; `wrong` is what is wrong with it besides what holds for every change."""
    wrong = dict(wrong or {})
    complaint, number = draft.complaint.strip(), draft.ro_number.strip()
    if not _WORD.search(complaint):
        wrong["complaint"] = "Write what the customer says, in any words: one letter or a picture is none."
    codes, bad_codes = _parsed_codes(draft.codes)
    wrong |= what_cannot_be(draft) | bad_codes
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    return replace(
        draft,
        complaint=complaint,
        ro_number=number,
        technician_words=draft.technician_words.strip(),
        opened_on=draft.opened_on or desk.today,
        codes=codes,
        codes_scanned=CodesScanned.STORED if codes else draft.codes_scanned,
    )


def what_cannot_be(draft: ConcernDraft) -> dict[str, str]:
    """What is wrong with a concern, whoever tells it, by field."""
    wrong: dict[str, str] = {}
    longest = max(len(draft.complaint), len(draft.technician_words))
    if longest > LONGEST_TEXT:
        wrong["complaint"] = f"{longest:,} characters are too many; {LONGEST_TEXT:,} fit. Keep what matters."
    if draft.odometer is not None and not 0 <= draft.odometer <= 2_000_000:
        wrong["odometer"] = "The odometer reads between 0 and 2,000,000 miles."
    if draft.usual_gap_days is not None and not 0 < draft.usual_gap_days <= _LONGEST_GAP:
        wrong["usual_gap_days"] = f"Days between two times: 1 to {_LONGEST_GAP:,}, or leave it empty."
    return wrong


def _parsed_codes(codes: tuple[ReportedCode, ...]) -> tuple[tuple[ReportedCode, ...], dict[str, str]]:
    try:
        return readings.as_written(codes), {}
    except BadInput as wrong:
        return (), {"codes": wrong.message}
