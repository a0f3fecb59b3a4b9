"""The cautions of a concern, and who cleared its vehicle to be driven."""

from __future__ import annotations

from collections.abc import Mapping

from kb.advice.cautions.danger_words import Danger, danger_words
from kb.advice.cautions.dangers_told import dangers_in
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Lift
from kb.nouns.cautions import DO_NOT_DRIVE, Caution
from kb.records.store.bay import case as store
from kb.records.tables import StopLift
from kb.search.spoken import spoken
from kb.words.spelling import Speller


def cautions_of(desk: Desk, file: ConcernFile) -> tuple[Caution, ...]:
    """What its words speak of, as the search reads them; a clearing stays with its danger."""
    cleared = {lift.stop: lift for lift in file.lifts}
    return tuple(_caution(one, cleared) for one in _dangers(desk, file))


@anyone_in_the_shop
def clear_to_drive(desk: Desk, concern_id: int, reason: str) -> None:
    """Take the road back into the plan by name, with a reason that everybody sees.

    Clears the dangers that stand now; one that is written down later stands again. Refused where none stands.
    """
    file = read_concern(desk, concern_id)
    if not reason.strip():
        raise BadInput(
            "It is cleared to be driven only with a reason. Write what was found and done.",
            fields={"reason": "empty"},
        )
    standing = [one for one in cautions_of(desk, file) if one.keeps_it_parked]
    if not standing:
        raise BadInput("Nothing here says not to drive it.", fields={"stop": "is not open on this concern"})
    lifts = [
        StopLift(
            concern_id=concern_id,
            stop=_stop_of(one.danger),
            reason=reason.strip(),
            by=desk.actor.name,
            at=desk.now,
        )
        for one in standing
    ]
    store.add(desk.session, lifts)
    dangers = [one.danger for one in standing]
    desk.note_down("cleared to drive", "concern", concern_id, dangers=dangers, reason=reason.strip())


def _dangers(desk: Desk, file: ConcernFile) -> tuple[Danger, ...]:
    def read() -> tuple[Danger, ...]:
        text = said_of(file).text
        return dangers_in(spoken(text, search_memory.lexicon_in_force(desk), _speller(desk)), danger_words())

    return remembered(desk, file, "dangers", read)


def _speller(desk: Desk) -> Speller:
    """The shop's, that knows the words of danger too; kept, with what it has read, while the shop's is."""
    shops = search_memory.index(desk, (UPDATE,)).speller
    kept = desk.memory.recall(
        "speller of dangers", id(shops), lambda: (shops, shops.extended(sorted(danger_words().vocabulary)))
    )
    return kept[1]


def _caution(danger: Danger, cleared: Mapping[str, Lift]) -> Caution:
    lift = cleared.get(_stop_of(danger.name)) if danger.caution == DO_NOT_DRIVE else None
    if lift is None:
        return Caution(danger.caution, danger.sentence, danger.name)
    return Caution(danger.caution, danger.sentence, danger.name, lift.by, lift.reason)


def _stop_of(danger: str) -> str:
    """How a clearing stands among the lifted stops."""
    return f"{DO_NOT_DRIVE} {danger}"
