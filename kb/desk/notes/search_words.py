"""Learning from use: the words that found nothing, and the words that led to a note.

A lead makes lexicon entries of them. Nothing older than SHOWN_DAYS is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from kb.desk.bay.search.search import NOTE_KINDS, SearchRequest, SearchView, search
from kb.desk.bay.search.search_memory import NOTES_AND_TALK
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.asked_again import FAINT, still_unanswered
from kb.desk.notes.notes import read_note
from kb.records.store.bay import search_use as store
from kb.records.tables import SearchLog
from kb.words.negators import WRITTEN_OUT
from kb.words.normalise import SILENT, stem, words

SHOWN_DAYS = 180
_LOOKED_AT = 500
_MOST_SHOWN = 40
_LED = 12
_LONGEST_PHRASE = 80
_PLACES = 200
"""So many notes' words are remembered at most."""


@dataclass(frozen=True, slots=True)
class Unanswered:
    """Words that found no note, or only weak matches (`some`), and still do. `phrase` is what nothing met."""

    text: str
    times: int
    last_at: datetime
    some: bool
    phrase: str


@dataclass(frozen=True, slots=True)
class LedHere:
    """Words from which a note was opened, or whose concern it cured or explained in the end.

    `phrase` is what of them the note itself does not meet.
    """

    text: str
    opened: int
    explained: int
    last_at: datetime
    phrase: str


@lead_or_owner
def found_nothing(desk: Desk) -> tuple[Unanswered, ...]:
    """Words that found no note better than a weak match and would not today either, the most asked first."""
    return desk.once("found nothing", lambda: _found_nothing(desk))


def _found_nothing(desk: Desk) -> tuple[Unanswered, ...]:
    grouped = sorted(_grouped(_with_little_found(desk)), key=lambda group: -len(group))
    again = still_unanswered(desk, [group[0].text for group in grouped], _MOST_SHOWN)
    left = [group for group in grouped if group[0].text in again]
    return tuple(_unanswered(group, again[group[0].text]) for group in left)


def _with_little_found(desk: Desk) -> Sequence[SearchLog]:
    return store.with_little_found(desk.session, desk.shop.id, _since(desk), FAINT, _LOOKED_AT)


def _unanswered(group: Sequence[SearchLog], view: SearchView) -> Unanswered:
    text, at = group[0].text, group[0].at
    return Unanswered(text, len(group), at, bool(view.results), phrase_of(text, view))


@lead_or_owner
def how_many_unanswered(desk: Desk) -> int:
    """How many of `found_nothing` there are: of today's searches as of the first time that somebody asked."""
    aside = store.how_many_set_aside(desk.session, desk.shop.id)
    key = (desk.today, aside, *desk.up_to(*NOTES_AND_TALK))
    return desk.memory.recall("unanswered", key, lambda: len(found_nothing(desk)))


@lead_or_owner
def set_aside(desk: Desk, text: str) -> int:
    """No note is to be written for these words; how many searches that was. Asked again, they come again."""
    mine = [row for row in _with_little_found(desk) if words(row.text) == words(text)]
    for row in mine:
        row.set_aside_by = desk.actor.name
    desk.session.flush()
    desk.note_down("set aside", "search", None, text=text, searches=len(mine))
    return len(mine)


@anyone_in_the_shop
def words_that_led_to(desk: Desk, note_id: int) -> tuple[LedHere, ...]:
    """Words that led to a note (or to a duplicate merged into it), those that it explained first."""
    ids = store.with_its_duplicates(desk.session, desk.shop.id, note_id)
    opened = store.that_opened(desk.session, desk.shop.id, _since(desk), NOTE_KINDS, ids)
    explained = store.that_ended_in(desk.session, desk.shop.id, _since(desk), ids)
    led: list[LedHere] = []
    for group in _grouped({row.id: row for row in (*opened, *explained)}.values()):
        here = {row.id for row in group}
        by_opening, in_the_end = (len(here & {row.id for row in rows}) for rows in (opened, explained))
        led.append(LedHere(group[0].text, by_opening, in_the_end, max(row.at for row in group), ""))
    led.sort(key=lambda one: (-one.explained, -one.opened, one.text))
    phrases = _not_met_by(desk, note_id, tuple(one.text for one in led[:_LED]))
    return tuple(replace(one, phrase=phrase) for one, phrase in zip(led, phrases, strict=False))


def _not_met_by(desk: Desk, note_id: int, texts: tuple[str, ...]) -> tuple[str, ...]:
    """Of each text what the note does not meet, remembered until a note or shop talk changes."""

    def read() -> tuple[str, ...]:
        content = read_note(desk, note_id).content
        written = words(" ".join((content.title, content.symptom, content.conditions, content.body)))
        return tuple(_not_met(desk, note_id, one, written) for one in texts)

    key = (note_id, texts, *desk.up_to(*NOTES_AND_TALK))
    return desk.memory.recall(("words not met", note_id % _PLACES), key, read)


def _not_met(desk: Desk, note_id: int, text: str, written: Sequence[str]) -> str:
    view = search(desk, SearchRequest(text, kinds=NOTE_KINDS, include_not_applying=True))
    mine = tuple(result for result in view.results if result.id == note_id)
    return phrase_of(text, replace(view, results=mine), written)


def phrase_of(text: str, view: SearchView, written: Iterable[str] = ()) -> str:
    """What a lexicon entry would be made of: words that met nothing and no single letter, else all words.
    Those of the vehicle are left out, and where there are others figures and what is said not to be so.
    """
    text = view.read.rest_of(text) if view.read else text
    met = {stem(word) for result in view.results for typed in result.met for word in words(typed)}
    met |= set(map(stem, written))
    denied = {word for denial in view.denied for word in words(denial)}
    said = [word for word in words(text) if not (word.isdecimal() or _is_among(word, denied))]
    strange = [word for word in said if len(word) > 1 and word not in SILENT and stem(word) not in met]
    return _cut(strange) or _cut(said) or _cut(words(text))


def _is_among(word: str, denied: Set[str]) -> bool:
    """Whether a word is one of those denied, which write a no out ("does not")."""
    return denied >= set(WRITTEN_OUT.get(word, word).split())


def _cut(said: Iterable[str]) -> str:
    kept = ""
    for word in said:
        if len(kept) + len(word) >= _LONGEST_PHRASE:
            break
        kept = f"{kept} {word}".strip()
    return kept


def _grouped(rows: Iterable[SearchLog]) -> list[list[SearchLog]]:
    """Rows of the same words together, in the order in which the words first come."""
    groups: dict[tuple[str, ...], list[SearchLog]] = {}
    for row in rows:
        groups.setdefault(tuple(words(row.text)), []).append(row)
    return list(groups.values())


def _since(desk: Desk) -> datetime:
    return desk.now - timedelta(days=SHOWN_DAYS)
