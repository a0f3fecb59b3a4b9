"""What a customer is asked before the work: proposed from the advice, told in plain sentences."""

from __future__ import annotations

from kb.desk.bay.advice import advice
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.papers.ro_lines import shop_words
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.customer_word import CustomerWord, Proposal
from kb.papers import customer_word as papers


@anyone_in_the_shop
def suggest(desk: Desk, concern_id: int) -> Proposal:
    """What the advice would have the customer agree to, without an amount. Raises NotFound."""
    return papers.suggested(advice.give_advice(desk, concern_id))


@anyone_in_the_shop
def customer_word(desk: Desk, concern_id: int, proposal: Proposal) -> CustomerWord:
    """The sentences for tablet, phone and message. Raises NotFound, and BadInput for no proposal."""
    papers.check_proposal(proposal)
    return papers.customer_word(read_concern(desk, concern_id), proposal, desk.shop.name, shop_words(desk))
