"""What is done about a concern: the decision, and the ending."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice, turned_away
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.concern import closing
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.search import search
from kb.desk.calls import what_was_heard
from kb.errors import BadInput, KbError
from kb.nouns.bay.after_reflash import AfterReflash
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.instead import WHY_SENT_AWAY
from kb.nouns.concerns import Ending
from web.labels import WHEN_CURED
from web.pages.bay.concern import concern_page
from web.pages.bay.concern_after import after_words
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import day as day_words

router = APIRouter(prefix="/concerns/{concern_id}")
LONGEST_CAUSE = 300


def _close_page(
    visit: Visit, concern_id: int, ending: str = "", refused: KbError | None = None, cause: str = ""
) -> Response:
    ending = ending or visit.typed.text("ending")
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        after = how_it_stands(desk, concern_id).after
        candidates = advice.give_advice(desk, concern_id).candidates
        notes = search.search(desk, _about(concern)).results
    updates = {one.note: one.number or one.title for one in candidates}
    updates |= {one.update_id: one.update_number for one in concern.reflashes if one.update_id}
    return visit.page(
        "ending/close.html",
        place="/concerns",
        concern=concern,
        ending=ending or ("cured_by_reflash" if after and after.next == "release" else ""),
        after=after,
        why_sent_away=WHY_SENT_AWAY if turned_away.asks_why(concern) else (),
        cause=cause,
        longest_cause=LONGEST_CAUSE,
        updates=tuple((str(note), name) for note, name in updates.items()),
        notes=tuple((str(note.id), f"{note.number} {note.title}".strip()[:90]) for note in notes),
        refused=refused,
    )


@router.post("/decide")
@shown_again(concern_page)
def decide(visit: Somebody, concern_id: int) -> Response:
    """Freeze the advice with what is done now, and go where that is done."""
    did = visit.typed.text("did")
    why = ", ".join(visit.typed.all("why"))
    with visit.writing() as desk:
        if did == Ending.SENT_TO_DEALER.value:
            turned_away.send_to_dealer(desk, concern_id, why)
        else:
            advice.decide(desk, concern_id, did, why)
    if did == "reflash":
        update = visit.typed.text("update")
        asked = {"update": update} if update.isdecimal() else {}
        return visit.go(f"/concerns/{concern_id}/prep", **asked)
    return visit.go(f"/concerns/{concern_id}", said="Written down, with the advice as it stands now.")


@router.get("/close")
def show_close(visit: Somebody, concern_id: int, ending: str = "", cause: str = "") -> Response:
    return _close_page(visit, concern_id, ending, cause=cause[:LONGEST_CAUSE])


@router.post("/close")
@shown_again(_close_page, KbError)
def close(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    ending = typed.must_be_one_of("ending", Ending, "Say how it ended.")
    with visit.writing() as desk:
        after = how_it_stands(desk, concern_id).after
        failed = after is not None and after.has_failed
        failed = failed and what_was_heard.how_it_counts(desk, concern_id, desk.today) == "failed"
        if ending is Ending.CURED_BY_REFLASH and after and not typed.ticked("sure"):
            _ask_before_a_cure(after, failed, visit.today())
        if ending is Ending.SENT_TO_DEALER:
            turned_away.send_to_dealer(desk, concern_id, ", ".join(typed.all("why")))
        else:
            closing.close_concern(
                desk,
                concern_id,
                ending,
                cured_by=typed.whole("cured_by", "update"),
                other_cause=typed.text("other_cause"),
                explained_by=typed.whole("explained_by", "lesson"),
            )
        ends_on = what_was_heard.window_ends_on(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}", said=_closed_as(ending, after, failed, ends_on))


def _ask_before_a_cure(after: AfterReflash, failed: bool, today: date) -> None:
    """Raise BadInput for "cured" before the road test, or of a reflash that counts as failed."""
    if failed:
        raise BadInput(
            f"{after_words(after, today)} That reflash counts as not cured, whatever the ending. Choose "
            "another ending, or say that it ended so.",
            fields={"sure": "it did not cure it by the records"},
        )
    if after.next == "road_test":
        raise BadInput(
            "The road test is not written down yet. Drive it and write it down first, or say that it is "
            "closed without one.",
            fields={"sure": "the road test comes first"},
        )


def _closed_as(ending: Ending, after: AfterReflash | None, failed: bool, ends_on: date | None) -> str:
    """What closing it means for the counts, no more than is true on that day."""
    if ending is Ending.OTHER_CAUSE:
        return "Closed. It counts from now on."
    if ending is not Ending.CURED_BY_REFLASH or after is None or ends_on is None:
        return "Closed."
    if failed:
        return "Closed. The reflash stays counted as not cured."
    if after.has_failed:
        return "Closed. It was back only after its window, so the reflash stays counted as cured."
    if after.fine_until >= ends_on:
        return "Closed. It counts as cured: it was OK at the end of its window."
    end = day_words(ends_on)
    return f"Closed. It waits: {WHEN_CURED}, {end}."


@router.post("/reopen")
def reopen(visit: Somebody, concern_id: int) -> Response:
    with visit.writing() as desk:
        closing.reopen_concern(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}", said="Open again.")


def _about(concern: ConcernFile) -> search.SearchRequest:
    """The notes that may have explained it."""
    said = said_of(concern)
    return search.SearchRequest(
        text=said.text,
        codes=said.codes,
        kinds=search.NOTE_KINDS,
        vehicle=concern.vehicle,
    )
