"""What waits for the lead, by queue: proposals, drafts, what outcomes contradict, what nobody looked at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.notes import keeping, notes, proposals, search_words
from kb.desk.notes.notes import NoteFilter, NoteLine, line_of
from kb.desk.review import reports
from kb.nouns.notes import KEPT_CURRENT_BY_FILES, Note, NoteState
from kb.outcomes.contradicted import Contradicted, contradicted
from kb.records.store.notes import keeping as store
from kb.records.store.notes import notes as note_store

SHOWN = 50
QUIET = timedelta(days=90)
"""So long a note that was looked at stays out of the queue of those that outcomes speak against."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many things of a queue wait; `queue` is its name in addresses."""

    queue: str
    count: int


@dataclass(frozen=True, slots=True)
class QueuedNote:
    """A note in a queue, with how many reflashes count for it."""

    line: NoteLine
    reflashes: int


@dataclass(frozen=True, slots=True)
class QueuedNotes:
    """The first notes of a queue, and how many there are in all."""

    items: tuple[QueuedNote, ...]
    total: int


@dataclass(frozen=True, slots=True)
class SpokenAgainst:
    """A published note, and what outcomes say against it."""

    note: Note
    what: Contradicted


@lead_or_owner
def waiting(desk: Desk) -> tuple[Waiting, ...]:
    """The queues in which something waits, each with how much."""
    in_draft, to_see = _counted(desk)
    counts = {
        "proposals": proposals.count_open(desk),
        "drafts": in_draft,
        "contradicted": len(spoken_against(desk)),
        "look-again": to_see,
        "unanswered": search_words.how_many_unanswered(desk),
    }
    return tuple(Waiting(queue, count) for queue, count in counts.items() if count)


@lead_or_owner
def drafts(desk: Desk) -> QueuedNotes:
    """Notes that nobody published yet, from imports, histories, pastes and by hand; the newest first."""
    page = notes.list_notes(desk, NoteFilter(state=NoteState.DRAFT))
    return _queued(desk, page.lines, page.total)


@lead_or_owner
def to_look_at(desk: Desk) -> QueuedNotes:
    """Published notes that nobody looked at for a year, or that somebody wanted to see again by today."""
    day = desk.today - keeping.A_YEAR
    since = (day, datetime.combine(day, time.max, tzinfo=desk.shop.zone))
    total, rows = store.not_looked_at(
        desk.session, desk.shop.id, desk.today, since, KEPT_CURRENT_BY_FILES, SHOWN
    )
    return _queued(desk, [line_of(row) for row in rows], total)


@lead_or_owner
def spoken_against(desk: Desk) -> tuple[SpokenAgainst, ...]:
    """Published updates whose outcomes do not bear their note out, unless somebody looked at it since."""
    named = reports.report_at_hand(desk)
    told = contradicted(named.report.rows) if named else ()
    on_file = note_store.notes_with_ids(desk.session, desk.shop.id, [what.update for what in told])
    found = [SpokenAgainst(on_file[what.update], what) for what in told if what.update in on_file]
    return tuple(one for one in found if _waits(desk, one))


def _counted(desk: Desk) -> tuple[int, int]:
    """Drafts, and notes to look at: of a big file a count takes as long as the page around it."""
    key = (desk.today, *desk.up_to("notes", "notes_removed", "outcomes"))
    return desk.memory.recall("queues", key, lambda: (drafts(desk).total, to_look_at(desk).total))


def _waits(desk: Desk, one: SpokenAgainst) -> bool:
    asked_anew = max(desk.today - QUIET, one.what.since or desk.today - QUIET)
    looked_at = one.note.looked_at_on
    return one.note.content.state is NoteState.PUBLISHED and (looked_at is None or looked_at < asked_anew)


def _queued(desk: Desk, lines: tuple[NoteLine, ...] | list[NoteLine], total: int) -> QueuedNotes:
    counted = store.counted_for(desk.session, [one.id for one in lines])
    return QueuedNotes(tuple(QueuedNote(one, counted.get(one.id, 0)) for one in lines), total)
