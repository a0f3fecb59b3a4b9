"""What is on record that opens or closes a way: a device listed for the make, coverage at the dealer."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from kb.advice.before_plan.stops import OTHER_RECALL, RECALL_GATE
from kb.nouns.bay.gates import GateView
from kb.nouns.bay.instead import FREE_AT_DEALER
from kb.nouns.bay.on_file import Decided
from kb.nouns.concerns import Ending
from kb.nouns.recorded_words import in_words
from kb.vehicle.families import fold


def listed_for(make: str, validated: Collection[Iterable[str]]) -> bool | None:
    """Whether a device is listed for a make, of each device the makes that it is listed for.

    None where nobody entered a listing of any device: what was never looked up forbids nothing.
    """
    known = {fold(one) for makes in validated for one in makes}
    return fold(make) in known if known else None


def free_because(gates: Iterable[GateView]) -> str:
    """Why the dealer may program it free: a recall open on this VIN that touches it, or coverage that may
    apply. Empty where neither is on record; not checked is no yes.
    """
    at_fault = {gate.key: gate for gate in gates if gate.result == "fault"}
    recall = at_fault.get(RECALL_GATE)
    if recall and recall.value != OTHER_RECALL:
        return f"recall {', '.join(recall.numbers)} is open" if recall.numbers else "a recall is open"
    return "coverage may apply" if "warranty_checked" in at_fault else ""


def sent_to_dealer_because(decided: Sequence[Decided], gates: Iterable[GateView]) -> str:
    """How a concern closed as sent to the dealer is told: with the reason given last, and what it is free by,
    such as "sent to the dealer (dealer does it free: recall 26V417 is open)".
    """
    words = in_words(Ending.SENT_TO_DEALER.value, "ending")
    why = next((one.why_not for one in reversed(decided) if one.why_not), "")
    free = free_because(gates) if FREE_AT_DEALER in why else ""
    return f"{words} ({': '.join(filter(None, (why, free)))})" if why else words
