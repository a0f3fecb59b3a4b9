"""Shop talk that a lead added to the lexicon or took out of it. Every entry takes effect at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from kb.desk.bay.search.search import SearchRequest, SearchView, search
from kb.desk.bay.search.search_memory import lexicon_in_force
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.notes import read_note
from kb.desk.saving import row_of, saved
from kb.errors import BadInput
from kb.nouns.copying import copied
from kb.records.store.notes import lexicon as store
from kb.records.tables import LexiconEntry
from kb.search.phrases import phrases_in, spans
from kb.search.typed import TypedWord
from kb.words.concepts import CHOICES, KINDS, concept_tables, phrase_stems
from kb.words.normalise import stem, words

LONGEST = 80
_SHOWN = 5
_TOO_WIDE = ("filler", "vehicle", "action", "cause")


@dataclass(frozen=True, slots=True)
class Entry:
    """A phrase that the shop added to a concept (or took out: `removes`), and whether that was undone."""

    id: int
    concept: str
    phrase: str
    removes: bool
    author: str
    added_at: datetime
    undone_by: str = ""
    undone_at: datetime | None = None

    @property
    def in_force(self) -> bool:
        return self.undone_at is None


@dataclass(frozen=True, slots=True)
class ConceptLine:
    """A concept that comes with the program: what it is called, and the phrases it knows."""

    concept: str
    name: str
    kind: str
    phrases: tuple[str, ...]


@anyone_in_the_shop
def list_entries(desk: Desk) -> tuple[Entry, ...]:
    """Every entry that the shop ever made, the newest first; undone ones stay visible."""
    return tuple(copied(Entry, row) for row in store.entries(desk.session, LexiconEntry, desk.shop.id))


@anyone_in_the_shop
def list_concepts(desk: Desk) -> tuple[ConceptLine, ...]:
    """The concepts that come with the program, by name."""
    return _concepts()


@lead_or_owner
def add_entry(desk: Desk, concept: str, phrase: str) -> Entry:
    """Let a phrase mean a concept, named by its name or one of its phrases; an unknown concept is made.

    Raises BadInput where a phrase holds no word.
    """
    return _put(desk, concept, phrase, removes=False)


@lead_or_owner
def remove_entry(desk: Desk, concept: str, phrase: str) -> Entry:
    """Let a phrase no longer mean a concept, whether the shop added it or the program came with it.

    Raises BadInput where it does not mean that.
    """
    key, said = _checked(desk, concept, phrase)
    if key not in _meanings(desk, said):
        known = lexicon_in_force(desk).concepts
        what = (
            f"“{said}” does not mean {key.replace('_', ' ')} here" if key in known else f"Nothing means {key}"
        )
        raise BadInput(f"{what}, so there is nothing to take out.", fields={"phrase": "no such phrase"})
    return _put(desk, concept, phrase, removes=True)


@anyone_in_the_shop
def is_new_meaning(desk: Desk, concept: str) -> bool:
    """Whether no concept has this name or a phrase of it, so that an entry would make a new one."""
    key = "_".join(words(concept.replace("_", " ")))
    return bool(key) and _meant(desk, key) not in lexicon_in_force(desk).concepts


@lead_or_owner
def undo_entry(desk: Desk, entry_id: int) -> Entry:
    """Take an entry back; it stays in the list with who undid it. Undoing twice changes nothing more."""
    row = row_of(desk, LexiconEntry, entry_id, f"There is no lexicon entry {entry_id}.")
    if row.undone_at is None:
        _undo(desk, row)
        desk.bump("lexicon")
    return copied(Entry, row)


@anyone_in_the_shop
def try_query(desk: Desk, text: str, as_typed: tuple[str, ...] = ()) -> SearchView:
    """What a complaint finds with the lexicon as it stands now."""
    return search(desk, SearchRequest(text, limit=_SHOWN, as_typed=as_typed))


@anyone_in_the_shop
def concepts_of(desk: Desk, note_id: int) -> tuple[str, ...]:
    """Names of the concepts that a note's title and symptom speak of; what fails before the rest."""
    content = read_note(desk, note_id).content
    said = [
        TypedWord(w, w, stem(w), 1.0, at) for at, w in enumerate(words(f"{content.title} {content.symptom}"))
    ]
    lexicon = lexicon_in_force(desk)
    named = [phrase.concept for phrase in phrases_in(said, spans(said, lexicon), lexicon)]
    order = [kind for kind in KINDS if kind not in _TOO_WIDE]
    fitting = sorted((c for c in named if c.kind in order), key=lambda concept: order.index(concept.kind))
    return tuple(dict.fromkeys(concept.name for concept in fitting))


def _put(desk: Desk, concept: str, phrase: str, *, removes: bool) -> Entry:
    key, said = _checked(desk, concept, phrase)
    for row in store.entries(desk.session, LexiconEntry, desk.shop.id):
        if row.undone_at is None and row.concept == key and phrase_stems(row.phrase) == phrase_stems(said):
            if row.removes == removes:
                return copied(Entry, row)
            _undo(desk, row)
    row = LexiconEntry(
        shop_id=desk.shop.id,
        concept=key,
        phrase=said,
        removes=removes,
        author=desk.actor.name,
        added_at=desk.now,
    )
    action = "took out of lexicon" if removes else "added to lexicon"
    return copied(Entry, saved(desk, row, action, "lexicon entry", "lexicon", concept=key, phrase=said))


def _undo(desk: Desk, row: LexiconEntry) -> None:
    row.undone_by, row.undone_at = desk.actor.name, desk.now
    saved(desk, row, "undid", "lexicon entry", concept=row.concept, phrase=row.phrase)


def _checked(desk: Desk, concept: str, phrase: str) -> tuple[str, str]:
    key, said = "_".join(words(concept.replace("_", " "))), " ".join(phrase.split())
    faults = {}
    if not key or len(key) > LONGEST:
        faults["concept"] = f"Name the concept in a few words, at most {LONGEST} letters."
    if not phrase_stems(said) or len(said) > LONGEST:
        faults["phrase"] = (
            f"A phrase needs at least one word that carries a meaning, and at most {LONGEST} letters."
        )
    if faults:
        raise BadInput(" ".join(faults.values()), fields=faults)
    return _meant(desk, key), said


def _meanings(desk: Desk, phrase: str) -> frozenset[str]:
    return frozenset(lexicon_in_force(desk).meanings(phrase_stems(phrase)))


def _meant(desk: Desk, key: str) -> str:
    """The concept of this name, else the one that has it for a phrase ("rough idle"), else a new one."""
    lexicon, stems = lexicon_in_force(desk), phrase_stems(key.replace("_", " "))
    if key in lexicon.concepts:
        return key
    named = lexicon.meanings(stems)
    return min(named, key=lambda one: (KINDS.index(lexicon.concepts[one].kind), one), default=key)


@lru_cache(maxsize=1)
def _concepts() -> tuple[ConceptLine, ...]:
    return tuple(
        ConceptLine(
            key,
            key.replace("_", " "),
            str(table["kind"]),
            tuple(map(str, (*table.get("phrases", ()), *table.get("said", ())))),
        )
        for key, table in sorted(concept_tables().items())
        if key != CHOICES
    )
