"""Advice on a concern, the stops that bind it, and decisions frozen with everything they rest on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter

from kb.advice.advise import advise
from kb.advice.chances.learn import Learned
from kb.advice.frozen_advice import FrozenInputs, freeze
from kb.advice.planning import whatif
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import learning
from kb.desk.bay.advice.cautions import clear_to_drive
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, NotAllowed
from kb.nouns.advice import Advice, StopKind
from kb.nouns.cautions import DO_NOT_DRIVE
from kb.nouns.people import Role
from kb.records.store.bay import case as store
from kb.records.tables import DecisionRow, StopLift

DID = ("reflash", "keep_diagnosing", "check_first", "sent_to_dealer", "nothing")
"""What may be done at a decision; the first three are the verdicts."""

_ADVICE: TypeAdapter[Advice] = TypeAdapter(Advice)
INPUTS: TypeAdapter[FrozenInputs] = TypeAdapter(FrozenInputs)


@anyone_in_the_shop
def give_advice(desk: Desk, concern_id: int) -> Advice:
    """Whether a calibration update is likely the fix, and the cheapest next step."""
    in_hand = concern_in_hand(desk, read_concern(desk, concern_id))
    settings = settings_desk.current(desk).advice_settings(desk.shop.currency)
    return desk.once(("advice", concern_id), lambda: advise(in_hand, learning.learned(desk), settings))


@anyone_in_the_shop
def lift_stop(desk: Desk, concern_id: int, stop: str, reason: str) -> None:
    """Pass a stop by name, with a reason that everybody sees; "do_not_drive" clears the vehicle to be driven.

    Refused where no such stop is open. Another attempt before a recovery is recorded is the lead's
    to allow.
    """
    if stop == DO_NOT_DRIVE:
        clear_to_drive(desk, concern_id, reason)
        return
    file = read_concern(desk, concern_id)
    if not reason.strip():
        raise BadInput("A stop is passed only with a reason. Write why.", fields={"reason": "empty"})
    known = {kind.value for kind in StopKind}
    open_stops = {one.kind.value for one in concern_in_hand(desk, file).stops if one.is_open}
    if stop not in open_stops:
        said = "is not open on this concern" if stop in known else "is no stop"
        raise BadInput(f"{stop!r} {said}.", fields={"stop": said})
    if stop == StopKind.NOT_RECOVERED and desk.actor.role not in (Role.LEAD, Role.OWNER):
        raise NotAllowed("Another attempt before the recovery is recorded is the lead's to allow.")
    lift = StopLift(concern_id=concern_id, stop=stop, reason=reason.strip(), by=desk.actor.name, at=desk.now)
    store.add(desk.session, [lift])
    desk.note_down("overrode stop", "concern", concern_id, stop=stop, reason=lift.reason)


@anyone_in_the_shop
def decide(
    desk: Desk, concern_id: int, did: str, why_not: str = "", *, learned: Learned | None = None
) -> int:
    """Freeze the advice as it stands with all its inputs, and write down what is done now.

    Whoever records many decisions at once may hand over what was `learned` by then.
    """
    file = read_concern(desk, concern_id)
    if did not in DID:
        raise BadInput(f"What is done is one of: {', '.join(DID)}.", fields={"did": "unknown"})
    in_hand = concern_in_hand(desk, file)
    settings = settings_desk.current(desk).advice_settings(desk.shop.currency)
    learned = learned or learning.learned(desk)
    advice = advise(in_hand, learned, settings)
    followed = did == advice.verdict.value
    if not followed and not why_not.strip():
        raise BadInput(
            "This is not what was advised. Say why, so that the lead can learn from it.",
            fields={"why_not": "empty"},
        )
    row = DecisionRow(
        concern_id=concern_id,
        at=desk.now,
        by=desk.actor.name,
        verdict=advice.verdict.value,
        did=did,
        followed=followed,
        why_not=why_not.strip(),
        advice=_ADVICE.dump_python(advice, mode="json"),
        inputs=INPUTS.dump_python(freeze(in_hand, learned, settings), mode="json"),
    )
    store.add(desk.session, [row])
    desk.note_down("decided", "concern", concern_id, did=did, verdict=row.verdict)
    return row.id or 0


@anyone_in_the_shop
def what_if(_desk: Desk, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The plan of made-up numbers; nothing is gathered and nothing saved."""
    return whatif.what_if(asked)
