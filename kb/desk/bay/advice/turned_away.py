"""A concern that goes to the dealer: closed with why it goes, so that the owner sees what was missing."""

from __future__ import annotations

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import Ending


@anyone_in_the_shop
def send_to_dealer(desk: Desk, concern_id: int, why: str = "") -> None:
    """Close it so. Raises BadInput where nobody says why, now or at a decision before."""
    why = why.strip()
    if not why and asks_why(read_concern(desk, concern_id)):
        said = "Say why it goes to the dealer: one tap, and the owner sees what was missing."
        raise BadInput(said, fields={"why": "tap a reason, or say it in words"})
    if why:
        advice.decide(desk, concern_id, Ending.SENT_TO_DEALER.value, why)
    closing.close_concern(desk, concern_id, Ending.SENT_TO_DEALER)


def asks_why(file: ConcernFile) -> bool:
    """Whether no decision on file says why the advice was not followed."""
    return not any(one.why_not for one in file.decisions)
