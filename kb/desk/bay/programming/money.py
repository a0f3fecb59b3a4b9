"""Who agreed to what, and who paid: billed, cost and credited are three numbers."""

from __future__ import annotations

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.handover import waiting
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.bay.on_file import PAYERS
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.copying import columns_of
from kb.papers.customer_word import terms_that_cannot_be
from kb.records.store.bay import case as case_store
from kb.records.tables import Authorization, Payment

KINDS = ("billed", "cost", "credited")


@anyone_in_the_shop
def authorize(desk: Desk, concern_id: int, draft: AuthorizationDraft) -> None:
    """Record the customer's answer; what they agreed to last is the limit that the plan stops at.

    Raises BadInput without a name, or where they agreed and nobody chose what holds if it is not cured.
    """
    held = concerns_desk.on_file(desk, concern_id)
    wrong = terms_that_cannot_be(draft)
    if draft.declined and not draft.if_not_cured:
        wrong.pop("if_not_cured", None)
    if not draft.who.strip():
        wrong["who"] = "Say who answered: a name."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    written = {"repair_order_id": held.repair_order.id or 0, "by": desk.actor.name, "at": desk.now}
    case_store.insert_rows(desk.session, Authorization, [columns_of(draft) | written])
    waiting.go_on(desk, concern_id, arrived=WaitingFor.CUSTOMER_OK)
    action = "declined" if draft.declined else "authorized"
    desk.note_down(action, "concern", concern_id, amount_minor=draft.amount_minor, who=draft.who.strip())


@anyone_in_the_shop
def record_payment(
    desk: Desk, concern_id: int, kind: str, amount_minor: int, who_paid: str, remark: str = ""
) -> int:
    """Record money of a repair order: billed, cost or credited, and whose it is; its id."""
    held = concerns_desk.on_file(desk, concern_id)
    wrong = {}
    if kind not in KINDS:
        wrong["kind"] = "Money is billed, cost or credited."
    if who_paid not in PAYERS:
        wrong["who_paid"] = "Say who paid: customer, shop or manufacturer."
    if amount_minor < 0:
        wrong["amount"] = "The amount is 0 or more."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    row = Payment(
        repair_order_id=held.repair_order.id or 0,
        kind=kind,
        amount_minor=amount_minor,
        who_paid=who_paid,
        remark=remark.strip(),
        by=desk.actor.name,
        at=desk.now,
    )
    case_store.add(desk.session, [row])
    desk.note_down("recorded money", "concern", concern_id, kind=kind, amount_minor=amount_minor)
    return row.id or 0
