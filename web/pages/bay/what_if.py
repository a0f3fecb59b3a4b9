"""The plan of made-up numbers: nothing is gathered and nothing saved."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice
from kb.errors import BadInput
from kb.nouns.advice import PlanNode, Verdict, Zones
from kb.nouns.chance_words import edges_said
from web.forms import TypedForm
from web.plan_picture import PlanPicture, plan_picture
from web.visits import Somebody
from web.words import percent

router = APIRouter(prefix="/what-if")

ROWS = 3
# A first example to change: an update likely enough, one strong cheap check (design values, invented).
EXAMPLE = {
    "chance_1": "60",
    "cost_1": "180",
    "diagnosis_cost": "375",
    "rework_cost": "150",
    "check_1": "Smoke-test the intake",
    "cured_1": "1",
    "not_1": "5",
    "check_cost_1": "30",
}


@router.get("")
def show(visit: Somebody) -> Response:
    return visit.page("what_if.html", place="/shop", begin=EXAMPLE, rows=ROWS, answer=None, tree=None)


@router.post("")
def ask(visit: Somebody) -> Response:
    typed, refused, answer = visit.typed, None, None
    asked: dict[str, Any] = {}
    try:
        asked = _asked(typed)
        with visit.reading() as desk:
            answer = advice.what_if(desk, asked)
    except BadInput as wrong:
        refused = wrong
    return visit.page(
        "what_if.html",
        place="/shop",
        begin={},
        rows=ROWS,
        answer=answer,
        verdict=Verdict.of_step(answer["plan"]["do"]) if answer else None,
        edges=edges_said(asked["updates"][0]["chance"], Zones(*answer["zones"]), percent) if answer else "",
        many=bool(answer) and len(asked["updates"]) > 1,
        tree=_tree(answer["plan"]) if answer else None,
        refused=refused,
    )


def _asked(typed: TypedForm) -> dict[str, Any]:
    updates = [
        {
            "name": typed.text(f"update_{n}") or f"update {n}",
            "chance": (typed.number(f"chance_{n}", "chance") or 0) / 100,
            "cost": typed.number(f"cost_{n}", "cost") or 0,
        }
        for n in range(1, ROWS + 1)
        if typed.text(f"chance_{n}")
    ]
    checks = [
        {
            "name": typed.text(f"check_{n}"),
            "yes_if_cured": (typed.number(f"cured_{n}") or 0) / 10,
            "yes_if_not": (typed.number(f"not_{n}") or 0) / 10,
            "cost": typed.number(f"check_cost_{n}", "cost") or 0,
        }
        for n in range(1, ROWS + 1)
        if typed.text(f"check_{n}")
    ]
    return {
        "updates": updates,
        "checks": checks,
        "diagnosis_cost": typed.number("diagnosis_cost", "cost of diagnosis") or 0,
        "rework_cost": typed.number("rework_cost", "cost of a comeback") or 0,
        "shared_cost": typed.number("shared_cost", "shared fee") or 0,
    }


def _tree(plan: dict[str, Any]) -> PlanPicture:
    return plan_picture(_node(plan), {})


def _node(told: dict[str, Any]) -> PlanNode:
    """The plan as the interface tells it, back as nodes."""
    yes, no, then = (_node(told[name]) if told.get(name) else None for name in ("yes", "no", "then"))
    return PlanNode(told["do"], told["expected_cost"], name=told.get("name", ""), yes=yes, no=no, then=then)
