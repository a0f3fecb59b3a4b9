"""Notes: writing, correcting, publishing, retiring and merging them, with every version kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.note_circles import refuse_a_circle
from kb.desk.notes.note_faults import refuse_future, tidy_note
from kb.desk.notes.speaks_against import attach_checks, with_checks
from kb.desk.saving import refuse_stale
from kb.desk.shop import sign_offs
from kb.errors import BadInput, NotFound
from kb.nouns.copying import copied
from kb.nouns.notes import Note, NoteDraft, NoteKind, NoteState
from kb.records.store.notes import notes as store
from kb.records.store.notes.keeping import looked_at
from kb.records.store.notes.makes import left_by_history
from kb.records.store.notes.note_content import from_content, to_content
from kb.records.store.notes.note_writing import Stamp, insert_notes, replace_notes

PAGE = 50
MOST_PAGES = 1_000_000


@dataclass(frozen=True, slots=True)
class NoteFilter:
    """Which notes to list; empty fields ask nothing. `text` words are looked for in number, title, symptom.

    `page` counts from 1.
    """

    kind: NoteKind | None = None
    state: NoteState | None = None
    make: str = ""
    text: str = ""
    page: int = 1


@dataclass(frozen=True, slots=True)
class NoteLine:
    """One note in a list."""

    id: int
    version: int
    kind: NoteKind
    number: str
    title: str
    state: NoteState
    system: str
    source: str
    published_on: date | None
    changed_at: datetime
    author: str


@dataclass(frozen=True, slots=True)
class NotePage:
    """One page of a list, newest change first, and how many notes fit in all."""

    lines: tuple[NoteLine, ...]
    total: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True)
class NoteVersion:
    """The whole content as it was saved at one version, by whom, when and why."""

    version: int
    content: NoteDraft
    author: str
    saved_at: datetime
    why: str


@anyone_in_the_shop
def list_notes(desk: Desk, wanted: NoteFilter) -> NotePage:
    """One page of the notes that fit."""
    page = min(max(1, wanted.page), MOST_PAGES)
    total, rows = store.page_of_notes(
        desk.session,
        desk.shop.id,
        kind=wanted.kind or "",
        state=wanted.state or "",
        make=wanted.make,
        text=wanted.text,
        offset=(page - 1) * PAGE,
        limit=PAGE,
    )
    return NotePage(tuple(line_of(row) for row in rows), total, page, max(1, -(-total // PAGE)))


@anyone_in_the_shop
def lines_for(desk: Desk, typed: str, most: int) -> tuple[NoteLine, ...]:
    """Notes whose number, title or symptom has every typed word, the newest change first."""
    rows = store.page_of_notes(
        desk.session, desk.shop.id, kind="", state="", make="", text=typed, offset=0, limit=most
    )[1]
    return tuple(line_of(row) for row in rows)


@anyone_in_the_shop
def read_note(desk: Desk, note_id: int) -> Note:
    """The note as it stands; NotFound if there is none."""
    found = desk.once(
        ("note", note_id), lambda: store.notes_with_ids(desk.session, desk.shop.id, (note_id,)).get(note_id)
    )
    if found is None:
        raise NotFound(f"There is no note {note_id}.")
    return found


@anyone_in_the_shop
def list_revisions(desk: Desk, note_id: int) -> tuple[NoteVersion, ...]:
    """Every version of a note that was ever saved, the newest first."""
    read_note(desk, note_id)
    return tuple(
        copied(NoteVersion, row, content=from_content(row.content))
        for row in store.revisions_of(desk.session, note_id)
    )


@anyone_in_the_shop
def held_to_the_rules(desk: Desk, draft: NoteDraft) -> NoteDraft:
    """The draft as it would be saved today; BadInput where a field is wrong."""
    return tidy_note(refuse_future(draft, desk.today), desk.today.year)


@lead_or_owner
def write_note(desk: Desk, draft: NoteDraft) -> Note:
    """Save a new note. BadInput where a field is wrong or a published step would close a circle.

    A bulletin whose number a history left as a bare draft fills that one, so that its record counts to it.
    """
    draft = held_to_the_rules(desk, draft)
    bare = _left_by_history(desk, draft)
    if bare is not None:
        return _save(desk, bare, draft, "wrote", "The bulletin that the history named")
    refuse_a_circle(desk, draft)
    draft = with_checks(desk, draft)
    [note_id] = insert_notes(desk.session, desk.shop.id, [draft], _stamp(desk))
    looked_at(desk.session, note_id, desk.today, desk.actor.name, None)
    attach_checks(desk, note_id, (), draft.speaks_against)
    desk.note_down("wrote", "note", note_id, title=draft.title, state=draft.state.value)
    return _as_saved(desk, note_id, 1, draft)


@lead_or_owner
def change_note(desk: Desk, note_id: int, version: int, draft: NoteDraft, why: str = "") -> Note:
    """Save new content over `version`; Conflict with both texts where somebody else saved since.

    Where a note came from and what a re-import knows it by stay as they are.
    """
    before = _at_version(desk, note_id, version, draft)
    draft = replace(draft, source=before.content.source, identity=before.content.identity)
    return _save(desk, before, held_to_the_rules(desk, draft), "changed", why)


@lead_or_owner
def publish_note(desk: Desk, note_id: int, version: int, why: str = "") -> Note:
    """Offer a draft (or a retired note again) to everybody; a merged one only once that is taken back."""
    if store.merged_into_of(desk.session, desk.shop.id, note_id) is not None:
        raise BadInput("This note was merged into another one. Take the merge back instead.")
    return _put_state(desk, note_id, version, NoteState.PUBLISHED, why)


@lead_or_owner
def retire_note(desk: Desk, note_id: int, version: int, why: str) -> Note:
    """Take a note out of the search; it is kept, with the reason."""
    if not why.strip():
        raise BadInput("Say why the note is retired.", fields={"why": "A reason is needed."})
    return _put_state(desk, note_id, version, NoteState.RETIRED, why)


@lead_or_owner
def save_content(desk: Desk, before: Note, draft: NoteDraft, action: str, why: str) -> Note:
    """Save a note's content as its next version; `before` is what was just read."""
    return _save(desk, before, draft, action, why)


def _left_by_history(desk: Desk, draft: NoteDraft) -> Note | None:
    if draft.kind is not NoteKind.BULLETIN:
        return None
    found = left_by_history(desk.session, desk.shop.id, (draft.number,))
    return next((read_note(desk, note_id) for note_id in found.values()), None)


def _put_state(desk: Desk, note_id: int, version: int, state: NoteState, why: str) -> Note:
    asked = replace(read_note(desk, note_id).content, state=state)
    before = _at_version(desk, note_id, version, asked)
    return _save(desk, before, asked, state.value, why)


def _save(desk: Desk, before: Note, draft: NoteDraft, action: str, why: str) -> Note:
    refuse_a_circle(desk, draft, before.id)
    draft = with_checks(desk, draft, before.content.speaks_against)
    after = _as_saved(desk, before.id, before.version + 1, draft)
    if draft.state is NoteState.PUBLISHED:
        store.set_merged_into(desk.session, before.id, None)
    replace_notes(desk.session, [(after.id, after.version, draft)], _stamp(desk, why))
    looked_at(desk.session, after.id, desk.today, desk.actor.name, None)
    attach_checks(desk, after.id, before.content.speaks_against, draft.speaks_against)
    desk.note_down(action, "note", after.id, version=after.version, why=why)
    return after


def _as_saved(desk: Desk, note_id: int, version: int, draft: NoteDraft) -> Note:
    """Whoever saves a note has looked at it."""
    return Note(note_id, version, draft, desk.actor.name, desk.today, desk.actor.name)


def _at_version(desk: Desk, note_id: int, version: int, yours: NoteDraft) -> Note:
    now = read_note(desk, note_id)
    author = sign_offs.called(desk).get(now.author, now.author) or "Somebody"
    who = f"{author} saved this note first (version {now.version})."
    both = {"yours": to_content(yours), "theirs": to_content(now.content)}
    refuse_stale(now, version, f"{who} Compare both texts and save again.", author=now.author, **both)
    return now


def _stamp(desk: Desk, why: str = "") -> Stamp:
    return Stamp(desk.actor.name, desk.now, desk.bump("notes"), why)


def line_of(row: Any) -> NoteLine:
    """A row of the columns of a list as a value."""
    return copied(NoteLine, row, kind=NoteKind(row.kind), state=NoteState(row.state))
