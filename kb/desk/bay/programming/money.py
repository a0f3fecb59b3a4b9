"""Who agreed to what, and who paid: billed, cost and credited are three numbers."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern import waiting
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.waiting import WaitingFor
from kb.records.store.bay import case as case_store
from kb.records.tables import Authorization, Payment

IF_NOT_CURED = ("charge_stands", "credited", "no_charge")
KINDS = ("billed", "cost", "credited")
PAYERS = ("customer", "shop", "manufacturer")


@dataclass(frozen=True, slots=True)
class AuthorizationDraft:
    """What the customer agreed to, told that it may not cure it and that a module can fail."""

    amount_minor: int
    who: str
    how: str = ""
    if_not_cured: str = "charge_stands"
    told_may_not_cure: bool = False
    told_module_can_fail: bool = False


@anyone_in_the_shop
def authorize(desk: Desk, concern_id: int, draft: AuthorizationDraft) -> None:
    """Record the customer's authorization; the newest one is the limit that the plan stops at."""
    held = concerns_desk.on_file(desk, concern_id)
    wrong = {}
    if draft.amount_minor < 0:
        wrong["amount"] = "The amount is 0 or more."
    if not draft.who.strip():
        wrong["who"] = "Say who agreed."
    if draft.if_not_cured not in IF_NOT_CURED:
        wrong["if_not_cured"] = "If it is not cured: charge stands, credited, or no charge."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    row = {
        "repair_order_id": held.repair_order.id or 0,
        "amount_minor": draft.amount_minor,
        "who": draft.who.strip(),
        "how": draft.how.strip(),
        "if_not_cured": draft.if_not_cured,
        "told_may_not_cure": draft.told_may_not_cure,
        "told_module_can_fail": draft.told_module_can_fail,
        "by": desk.actor.name,
        "at": desk.now,
    }
    case_store.insert_rows(desk.session, Authorization, [row])
    waiting.go_on(desk, concern_id, arrived=WaitingFor.CUSTOMER_OK)
    desk.note_down("authorized", "concern", concern_id, amount_minor=draft.amount_minor, who=row["who"])


@anyone_in_the_shop
def record_payment(
    desk: Desk, concern_id: int, kind: str, amount_minor: int, who_paid: str, remark: str = ""
) -> None:
    """Record money of a repair order: billed, cost or credited, and whose it is."""
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
