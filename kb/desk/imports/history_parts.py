"""What every history row makes, whether it is new or told anew: the parts that both write."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import end_of, follow_ups_of, to_content
from kb.desk.imports.import_notes import identity_hash
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import ConcernDraft, ModuleResult, ProgrammingEventDraft, ReportedCode
from kb.records.store.bay import concerns as concern_store
from kb.records.store.bay import writing
from kb.records.store.bay.writing import Done, Told
from kb.records.store.imports import history as on_file
from kb.records.store.imports import history_told as store
from kb.records.store.imports import imports as import_store
from kb.records.store.imports.history import Key, NaturalKey
from kb.records.tables import ConcernRow

GRADE_NOT_KNOWN = ""  # until the complaint is looked at (kb/desk/bay/advice/abouts.py)


@dataclass(frozen=True, slots=True)
class Row:
    """A history row with its drafts and what it belongs to."""

    id: int
    said: HistoryRow
    update: int | None
    line: ConcernDraft
    sitting: ProgrammingEventDraft
    concern_id: int
    event_id: int | None = None
    reflash_id: int | None = None
    outcome_id: int | None = None

    @property
    def module(self) -> ModuleResult:
        return self.sitting.modules[0]

    def done(self) -> Done:
        reflash = self.reflash_id or 0
        return Done(reflash, self.concern_id, self.module, self.sitting, self.line.odometer, self.id)


@lead_or_owner
def remember(desk: Desk, import_id: int, told: Iterable[tuple[int, HistoryRow]], action: str) -> list[int]:
    """Write down each row as it was taken, with the concern it belongs to; gives the ids."""
    rows = [
        {
            "shop_id": desk.shop.id,
            "import_id": import_id,
            "noun": store.HISTORY_ROW,
            "noun_id": concern_id,
            "identity_hash": identity_hash(row.identity),
            "action": action,
            "version": 1,
            "content": to_content(row),
        }
        for concern_id, row in told
    ]
    return import_store.remember(desk.session, rows)


@lead_or_owner
def add_what_was_heard(desk: Desk, import_id: int, told: Iterable[Row]) -> None:
    heard = [
        Told(one.concern_id, draft, history_row_id=one.id)
        for one in told
        for draft in follow_ups_of(one.said, desk.shop.currency)
    ]
    writing.add_follow_ups(desk.session, desk.stamp(import_id), heard)


@lead_or_owner
def add_other_work(desk: Desk, told: Iterable[Row]) -> None:
    """What was done beside, each once a sitting."""
    done = [(one.event_id or 0, what, one.id) for one in told if one.event_id for what in one.said.other_work]
    found_or_made(
        desk,
        on_file.OTHER_WORK,
        [one[:2] for one in done],
        lambda new: writing.add_other_work(desk.session, [done[at] for at in new]),
    )


@lead_or_owner
def add_codes(desk: Desk, scanned: Iterable[tuple[int, Iterable[ReportedCode]]]) -> None:
    """Codes of (concern, codes) that it does not have yet."""
    said = [(concern_id, one) for concern_id, codes in scanned for one in codes]
    found_or_made(
        desk,
        on_file.CODES,
        [(concern_id, one.code) for concern_id, one in said],
        lambda new: writing.add_codes(desk.session, [said[at] for at in new]),
    )


@lead_or_owner
def offer(desk: Desk, told: Iterable[Row]) -> None:
    """The update of a row was a candidate; how well it matches is looked at afterwards."""
    pairs = {(one.concern_id, one.update) for one in told if one.update is not None}
    known = on_file.on_file(desk.session, desk.shop.id, on_file.CANDIDATES, [one for one, _ in pairs])
    new = sorted(pairs - known.keys())
    more = {"grade": GRADE_NOT_KNOWN, "all_codes_named": False}
    rows = [
        {"concern_id": concern, "note_id": note, "position": position, **more}
        for (concern, note), position in zip(new, positions(new), strict=True)
    ]
    concern_store.add_candidates(desk.session, rows)


@lead_or_owner
def close(desk: Desk, told: Iterable[Row], *, anew: bool) -> None:
    """Concerns end as all their rows say; `anew`: they were closed before."""
    rows: dict[int, list[Row]] = defaultdict(list)
    for one in told:
        rows[one.concern_id].append(one)
    ended = {concern: _ended(desk, some) for concern, some in rows.items()}
    if anew:
        for columns in ended.values():
            del columns["closed_at"]
    writing.put(desk.session, ConcernRow, ended, store.CONCERN_UNTOUCHED)


def _ended(desk: Desk, told: Sequence[Row]) -> dict[str, Any]:
    end = end_of([(one.said, one.update) for one in told], told[0].line.opened_on or desk.today)
    return writing.ended(end.ending, end.cured_by, end.other_cause, end.on, desk.now)


def positions(keys: Iterable[Key]) -> list[int]:
    """The place of each key among those of its owner, from 1."""
    places: dict[int, dict[Key, int]] = defaultdict(dict)
    return [places[key[0]].setdefault(key, len(places[key[0]]) + 1) for key in keys]


@lead_or_owner
def found_or_made(
    desk: Desk, by: NaturalKey, values: Iterable[Key], make: Callable[[list[int]], list[int]]
) -> tuple[list[int], set[int]]:
    """The id of every key, and those on file; `make` makes the others, each from its first place."""
    keys = [by.of(one) for one in values]
    known = on_file.on_file(desk.session, desk.shop.id, by, [owner for owner, *_ in keys])
    first: dict[Key, int] = {}
    for at, key in enumerate(keys):
        if key not in known:
            first.setdefault(key, at)
    ids = {**known, **dict(zip(first, make(list(first.values())), strict=True))}
    return [ids[key] for key in keys], {known[key] for key in keys if key in known}
