"""The advice of a decision as it was kept, and worked out again from the inputs kept with it."""

from __future__ import annotations

from pydantic import TypeAdapter

from kb.advice.frozen_advice import replay
from kb.desk.bay.advice.advice import INPUTS
from kb.desk.context import Desk
from kb.nouns.advice import Advice
from kb.records.tables import DecisionRow

ADVICE = TypeAdapter(Advice)


def kept_and_again(desk: Desk, decision_id: int) -> tuple[Advice, Advice]:
    row = desk.session.get_one(DecisionRow, decision_id)
    return ADVICE.validate_python(row.advice), replay(INPUTS.validate_python(row.inputs))
