"""The concern page: stops, verdict, the next step, findings, matches, numbers."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice as advice_desk
from kb.desk.bay.advice import module_asked, newer_unknown
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.concern import findings_shown, known, odd_entries
from kb.desk.bay.concern.as_it_stands import AsItStands, how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.findings_shown import FindingView
from kb.desk.bay.search import search
from kb.desk.bay.seen import photos
from kb.desk.calls import here_again
from kb.desk.context import Desk
from kb.desk.notes import proposals
from kb.errors import KbError
from kb.nouns import recalls
from kb.nouns.advice import Advice, PlanNode
from kb.nouns.bay.clocks import USUAL, ClockKind
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.instead import WHY_SENT_AWAY
from kb.nouns.bay.next_up import NEXT_SHIFT, next_offered
from web.pages.bay.concern_after import after_words
from web.plan_picture import PlanPicture, plan_picture
from web.search_results import LONGEST_ASKED, Asked, ConcernId, Found, shown, with_opening
from web.visits import Somebody, Visit

router = APIRouter()

_MATCHES = 8
_PAST = 5
_FIRST_CHECKS = 5
_CLOCKS = tuple((kind.value, usual) for kind, usual in USUAL.items() if kind is not ClockKind.CHECK)
"""Those that are started without a check."""


@router.get("/concerns/{concern_id}")
def show(
    visit: Somebody, concern_id: int, asked: Asked = "", for_concern: ConcernId = 0, check: Asked = ""
) -> Response:
    """`asked` are the words, or `for_concern` the concern, from whose results this one was opened; `check`
    what a check is looked for by.
    """
    page = concern_page(visit, concern_id, check=check)
    return with_opening(visit, page, "concern", concern_id, asked, for_concern)


def concern_page(
    visit: Visit, concern_id: int, refused: KbError | None = None, at: str = "decide", check: str = ""
) -> Response:
    """The page of one concern; `refused` says what could not be saved on it, `at` in which form: the form
    that says itself where it stands knows better.
    """
    with visit.reading() as desk:
        context, people = _gather(desk, concern_id), tuple(visit.people(desk).items())
        found = findings_shown.find_checks(desk, concern_id, check) if check else ()
    return visit.page(
        "concern/page.html",
        place="/concerns",
        refused=refused,
        address=f"/concerns/{concern_id}",
        check_asked=check,
        checks_found=[one for one in found if one.key not in context["findings_by_key"]],
        who_next=(("", "whoever has time"), (NEXT_SHIFT, NEXT_SHIFT), *people),
        clocks_offered=_CLOCKS,
        refused_at=(visit.typed.text("at") or at) if refused else "",
        **context,
    )


def _gather(desk: Desk, concern_id: int) -> dict[str, Any]:
    concern, stands = read_concern(desk, concern_id), how_it_stands(desk, concern_id)
    advice = advice_desk.give_advice(desk, concern_id)
    shown = findings_shown.list_findings(desk, concern_id)
    named = _named(advice.plan)
    return {
        "concern": concern,
        "stands": stands,
        "advice": advice,
        "after": stands.after if concern.state != "closed" else None,
        "after_words": after_words,
        "lead": advice.lead,
        "findings": [one for one in shown if one.result or one.key in named],
        "more_findings": [one for one in shown if not one.result and one.key not in named],
        "findings_by_key": {one.key: one for one in shown},
        "gates": {gate.key: gate for gate in stands.gates},
        "why_sent_away": WHY_SENT_AWAY,
        "said_of_recalls": recalls.SAID,
        "matches": _matches(desk, concern),
        "asked_first": here_again.asked_first(desk, concern_id),
        "tree": _tree(advice, shown),
        "meant": _meant(desk, concern.vehicle.make, stands),
        "unknown": newer_unknown.of_concern(desk, concern_id),
        "asked": module_asked.module_asked(desk, concern_id),
        "known_ids": known.known_ids_of(desk, concern_id) if concern.state != "closed" else (),
        "next_offered": next_offered(stands.next_step, advice),
        "photos": photos.list_photos(desk, concern_id),
        "proposed": proposals.list_proposals(desk, concern_id=concern_id),
    }


def _meant(desk: Desk, make: str, stands: AsItStands) -> dict[str, str]:
    """By module, of IDs that are not on file: the one on file that was perhaps meant."""
    read = [one.reading for one in stands.calibrations]
    return {one.module: odd_entries.like_on_file(desk, make, one.module, one.calibration_id) for one in read}


def _matches(desk: Desk, concern: ConcernFile) -> Found:
    said = said_of(concern)
    asked = search.SearchRequest(
        text=said.text,
        codes=said.codes,
        vehicle=concern.vehicle,
        limit=_MATCHES,
        not_concern=concern.id,
    )
    return shown(
        search.search_apart(desk, asked, _PAST),
        vehicle_known=True,
        of_concern=True,
        opened_from={"for_concern": str(concern.id)},
        again={"q": said.text[:LONGEST_ASKED]},
    )


def _named(plan: PlanNode | None) -> set[str]:
    """The checks that the plan's next steps ask for, the nearest first, at most a few."""
    keys: list[str] = []
    level = [plan]
    while len(keys) < _FIRST_CHECKS and any(level):
        nodes = [node for node in level if node is not None]
        keys += [node.key for node in nodes if node.do == "check" and node.key not in keys]
        level = [next_one for node in nodes for next_one in (node.yes, node.no, node.then)]
    return set(keys[:_FIRST_CHECKS])


def _tree(advice: Advice, shown: tuple[FindingView, ...]) -> PlanPicture | None:
    if advice.plan is None or advice.plan.do == "diagnose":
        return None
    words = {one.key: (one.yes_word, one.no_word) for one in shown}
    return plan_picture(advice.plan, words)
