"""What a customer is told before they agree: plain sentences to read on a tablet, say by phone, or send."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kb.errors import BadInput
from kb.nouns.advice import Advice, Verdict
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.customer_word import LONGEST, AuthorizationDraft, Authorized, CustomerWord, Proposal
from kb.nouns.notes import within_a_sentence
from kb.papers.shop_words import ShopWords

LAW = (
    "Whether an estimate must be in writing, and signed before the work begins, differs by state: "
    "your state's law decides, not this page."
)
_MAY_NOT_CURE = "It may not cure it"
_CAN_FAIL = "A control module can fail while it is programmed; then we tell you before anything else is done"
_IF_NOT: Mapping[str, str] = MappingProxyType(
    {
        "charge_stands": "If it is not cured, the charge stands: you pay for this work all the same.",
        "credited": "If it is not cured, what you paid for this is credited to you.",
        "no_charge": "If it is not cured, you pay nothing for this.",
    }
)


def check_proposal(proposal: Proposal) -> None:
    """Raise BadInput for a proposal that says nothing, is too long, or names no ending."""
    wrong = terms_that_cannot_be(proposal)
    if not proposal.proposed.strip():
        wrong["proposed"] = "Say what you propose to do."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


def terms_that_cannot_be(told: Proposal | AuthorizationDraft) -> dict[str, str]:
    """What is wrong with what is proposed or answered, by field: texts, amount, what holds if not cured."""
    wrong = {
        name: f"At most {most} characters fit."
        for name, most in LONGEST.items()
        if len(getattr(told, name, "")) > most
    }
    if told.amount_minor < 0:
        wrong["amount"] = "The amount is 0 or more."
    if told.if_not_cured not in _IF_NOT:
        wrong["if_not_cured"] = "Choose what holds if it is not cured: charge stands, credited, or no charge."
    return wrong


def customer_word(file: ConcernFile, proposal: Proposal, shop_name: str, words: ShopWords) -> CustomerWord:
    """What is proposed and what it costs, that it may not cure it, that a module can fail, and what then."""
    what, most = within_a_sentence(proposal.proposed), words.money(proposal.amount_minor)
    if_not, vehicle = _IF_NOT[proposal.if_not_cured], file.vehicle.name or "vehicle"
    asked_again = "we ask you again before it costs more"
    told = (
        f"We propose: {what}.",
        f"It costs at most {most}; {asked_again}.",
        f"{_MAY_NOT_CURE}.",
        *((f"{_CAN_FAIL}.",) if proposal.programs else ()),
        if_not,
    )
    script = (
        f"This is {shop_name} about your {vehicle}; we propose: {what}, for at most {most}; {asked_again}.",
        f"{_MAY_NOT_CURE}, and {within_a_sentence(_CAN_FAIL)}." if proposal.programs else f"{_MAY_NOT_CURE}.",
        f"{if_not.rstrip('.')}; do you agree?",
    )
    heading = (f"{shop_name}, {file.ref}", f"Your {vehicle}: {' '.join(file.complaint.split())}")
    message = "\n".join((*heading, *told, "Please answer YES with your name, or NO."))
    return CustomerWord(told, script, message, LAW)


def suggested(advice: Advice) -> Proposal:
    """What the advice would have the customer agree to, to be put right by whoever asks; no amount yet."""
    if advice.verdict is Verdict.REFLASH:
        number = advice.lead.number if advice.lead else ""
        by = f" (bulletin {number})" if number else ""
        return Proposal(f"Update a control module with the manufacturer's newer software{by}", 0)
    if advice.candidates:
        return Proposal("Find what causes it, and update a control module only if the checks point to it", 0)
    return Proposal("Find what causes it", 0, programs=False)


def answer_said(one: Authorized, words: ShopWords) -> str:
    """Such as "agreed, up to $180: update the PCM; Mr. Tovar, by phone; told that it may not cure it"."""
    answer = f"{'declined' if one.declined else 'agreed'}, up to {words.money(one.amount_minor)}"
    what = f": {within_a_sentence(one.proposed)}" if one.proposed else ""
    who = ", ".join(filter(None, (one.who, one.how, one.number_called)))
    told = [
        said
        for said, was_told in (
            ("that it may not cure it", one.told_may_not_cure),
            ("that a module can fail", one.told_module_can_fail),
        )
        if was_told
    ]
    return "; ".join(filter(None, (answer + what, who, f"told {' and '.join(told)}" if told else "")))
