"""Whether stored candidates are about their concerns, looked at again by today's rule and notes.

| candidate                                          | looked at again because                            |
|----------------------------------------------------|----------------------------------------------------|
| frozen before there was a rule, or by an older one | it would teach from shared words                   |
| of a note that was changed since                   | the same                                           |
| brought by a history                               | it has no grade yet, and keeps the one it gets now |

It is judged by the complaint alone, reflashed or not alike, so that what is left out does not depend on what
came of it. Frozen decisions keep what they were taken with.
"""

from __future__ import annotations

from itertools import groupby

from sqlalchemy.exc import DBAPIError

from kb.advice.before_plan.candidates import is_about
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.search.search import matching_updates
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.errors import NotDone
from kb.nouns.bay.concern_file import OtherConcern
from kb.records.store.bay import abouts as store
from kb.records.store.bay import other_concerns as concern_store
from kb.records.store.bay.abouts import CandidateToLookAt, LookedAt
from kb.search.about import RULE
from kb.vehicle.updates_on_file import UpdatesOnFile

BATCH = 300
"""Candidates a transaction: other writers wait a fifth of a second at most."""


def renew_abouts(shop: RunningShop) -> int:
    """Look at every stored candidate that waits for it, in small transactions; gives how many there were.

    A concern that fails keeps no other one waiting: NotDone names the first of them when all are through.
    """
    done, failed = 0, dict[int, Exception]()
    waiting = _waiting(shop, None)
    while waiting:
        done += _one_batch(shop, waiting, failed)
        waiting = _waiting(shop, waiting[-1])
    if failed:
        first, fault = next(iter(failed.items()))
        who = f"concern {first}" + (f" and {len(failed) - 1} more" if len(failed) > 1 else "")
        raise NotDone(f"What {who} may be about could not be looked at again: {fault!r}.") from fault
    return done


def _waiting(shop: RunningShop, after: CandidateToLookAt | None) -> list[CandidateToLookAt]:
    with shop.reading(CONSOLE) as desk:
        return store.not_looked_at(desk.session, desk.shop.id, RULE, BATCH, after)


def _one_batch(shop: RunningShop, waiting: list[CandidateToLookAt], failed: dict[int, Exception]) -> int:
    looked_at: list[LookedAt] = []
    with shop.reading(CONSOLE) as desk:
        concerns = concern_store.concerns_as_said(
            desk.session, desk.shop.id, sorted({one.concern_id for one in waiting})
        )
        of_concern = {one.id: one for one in concerns}
        for concern_id, some in groupby(waiting, key=lambda one: one.concern_id):
            try:
                looked_at += _look_at(desk, of_concern[concern_id], list(some))
            except DBAPIError:
                raise
            except Exception as fault:
                failed[concern_id] = fault
    if looked_at:
        with shop.writing(CONSOLE) as desk:
            store.keep_about(desk.session, looked_at, RULE)
            desk.bump("outcomes")
    return len(looked_at)


def _look_at(desk: Desk, concern: OtherConcern, candidates: list[CandidateToLookAt]) -> list[LookedAt]:
    said, updates = said_of(concern), updates_desk.on_file(desk)
    asked = tuple(one.note_id for one in candidates)
    vehicle, many = concern.line.vehicle, len(asked)
    hits = matching_updates(desk, said.text, said.codes, vehicle, many, asked, for_others_too=True)
    told = {hit.id for hit in hits if hit.about}
    grades = {hit.id: hit.grade.value for hit in hits} if _came_without_grades(concern) else {}
    looked_at = []
    for one in candidates:
        about = is_about(one.note_id in told, _defining(updates, one.note_id), said.codes_present)
        grade = one.grade or (grades.get(one.note_id, "") if about else "")
        looked_at.append(LookedAt(one, about, grade))
    return looked_at


def _came_without_grades(concern: OtherConcern) -> bool:
    """Out of a history and with a complaint; of words nobody wrote down, no match can be told."""
    return concern.imported and bool(concern.complaint.strip())


def _defining(updates: UpdatesOnFile, note_id: int) -> frozenset[str]:
    update = updates.by_id.get(note_id)
    return update.defining if update else frozenset()
