"""What speaks against a note's remedy, each entry a check attached to that note.

An entry keeps its check by the key. One without a key takes the check that the same words had before, or gets
one made from its words. A check made so and taken off its last note retires; what it found stays.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from kb.desk.bay.search.search_memory import lexicon_in_force
from kb.desk.context import Desk, lead_or_owner
from kb.desk.notes import checks as checks_desk
from kb.errors import BadInput
from kb.nouns.checks import CheckDraft
from kb.nouns.notes import NoteDraft, SpeaksAgainst, within_a_sentence
from kb.nouns.starting_checks import SOURCE, System
from kb.records.store.notes import checks as store
from kb.records.tables import CheckRow
from kb.words.concepts import phrase_stems
from kb.words.lexicon import Lexicon

_MINUTES = 6
_YES_IN_10_CURED, _YES_IN_10_NOT = 1, 5


def check_draft_of(says: str) -> CheckDraft:
    """The check that asks for these words. Minutes and guesses are common practice, no source."""
    return CheckDraft(
        name=f"Look whether: {within_a_sentence(says)}",
        question=f"{says.rstrip(' .?!')}: is it so here?",
        yes_word="YES",
        no_word="NO",
        yes_in_10_cured=_YES_IN_10_CURED,
        yes_in_10_not=_YES_IN_10_NOT,
        system=System.NOTE.value,
        minutes=_MINUTES,
        source_line=f"guess, {SOURCE}",
    )


def with_known_keys(draft: NoteDraft, before: Iterable[SpeaksAgainst]) -> NoteDraft:
    """The draft whose entries without a key take the one that the same words had before."""
    known = {one.says.casefold(): one.check for one in before}
    entries = (
        one if one.check else replace(one, check=known.get(one.says.casefold(), ""))
        for one in draft.speaks_against
    )
    return replace(draft, speaks_against=tuple(entries))


@lead_or_owner
def refuse_unknown_checks(desk: Desk, draft: NoteDraft) -> None:
    """BadInput where an entry names a check that the shop does not have."""
    named = [one.check for one in draft.speaks_against if one.check]
    missing = sorted(set(named) - store.ids_of(desk.session, desk.shop.id, named).keys())
    if missing:
        what = f"There is no check {', '.join(missing)}. Leave it empty and one is made from the words."
        raise BadInput(what, fields={"speaks_against": what})


@lead_or_owner
def with_checks(desk: Desk, draft: NoteDraft, before: Sequence[SpeaksAgainst] = ()) -> NoteDraft:
    """The draft with a check for every entry: its own, the one of before, or a new one."""
    draft = with_known_keys(draft, before)
    refuse_unknown_checks(desk, draft)
    said_before = {one.check: one.says for one in before}
    entries = []
    for one in draft.speaks_against:
        if not one.check:
            entries.append(replace(one, check=_made(desk, one.says)))
            continue
        if said_before.get(one.check, one.says) != one.says:
            _say_anew(desk, one, said_before[one.check])
        entries.append(one)
    return replace(draft, speaks_against=tuple(entries))


@lead_or_owner
def attach_checks(
    desk: Desk, note_id: int, before: Sequence[SpeaksAgainst], after: Sequence[SpeaksAgainst]
) -> None:
    """Attach the note to the checks of `after` and to those of `before` no more."""
    old, new = ({one.check for one in entries if one.check} for entries in (before, after))
    if old == new:
        return
    ids = store.ids_of(desk.session, desk.shop.id, old | new)
    for key in sorted(new - old):
        store.attach_note(desk.session, ids[key], note_id)
    for key in sorted(ids.keys() & (old - new)):
        store.detach_note(desk.session, ids[key], note_id)
    store.retire_idle(desk.session, [ids[key] for key in ids.keys() - new], System.NOTE.value, desk.today)
    store.offer_again(desk.session, [ids[key] for key in new - old], System.NOTE.value)
    desk.bump("settings")


def _made(desk: Desk, says: str) -> str:
    """Make the check of an entry; its key."""
    repair = "Repair it" if _names_a_fault(says, lexicon_in_force(desk)) else ""
    row = checks_desk.made_row(desk, replace(check_draft_of(says), repair=repair))
    desk.note_down("added", "check", row.id, key=row.key, version=row.version)
    return row.key


def _names_a_fault(says: str, lexicon: Lexicon) -> bool:
    """Whether it tells what is wrong with a thing (split, loose, corroded), which a repair puts right."""
    stems = phrase_stems(says)
    kinds = (
        lexicon.concepts[one].kind
        for at in range(len(stems))
        for end in range(at + 1, len(stems) + 1)
        for one in lexicon.meanings(stems[at:end])
    )
    return "cause" in kinds


def _say_anew(desk: Desk, one: SpeaksAgainst, said: str) -> None:
    """Where a check still asks in the words that were made of the old entry, let it ask in the new ones."""
    row = store.check_with_key(desk.session, desk.shop.id, one.check)
    old, new = check_draft_of(said), check_draft_of(one.says)
    if row is not None and _still_asks(row, old):
        row.name, row.question, row.version = new.name, new.question, row.version + 1
        row.author = desk.actor.name
        desk.session.flush()
        desk.note_down("changed", "check", row.id, key=row.key, version=row.version)
        desk.bump("settings")


def _still_asks(row: CheckRow, old: CheckDraft) -> bool:
    return row.system == System.NOTE.value and (row.name, row.question) == (old.name, old.question)
