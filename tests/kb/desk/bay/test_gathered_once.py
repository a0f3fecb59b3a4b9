"""A page that shows a concern in several parts gathers it once; who writes sees what was just written."""

from __future__ import annotations

from collections import Counter
from typing import Any

from sqlalchemy import event

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, findings_shown
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import a_concern, actor_of, an_update


def open_case(shop: RunningShop) -> int:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(actor_of(shop, "tech")) as desk:
        return concerns.open_concern(desk, a_concern()).id


def test_what_was_shown_already_is_not_gathered_again(shop: RunningShop) -> None:
    concern = open_case(shop)
    asked: Counter[tuple[str, str]] = Counter()

    def count(_connection: Any, _cursor: Any, statement: str, values: Any, *_rest: Any) -> None:
        asked[statement, str(values)] += 1

    with shop.reading(actor_of(shop, "tech")) as desk:
        read_concern(desk, concern)
        advice.give_advice(desk, concern)
        event.listen(desk.session.connection(), "before_cursor_execute", count)
        assert advice.give_advice(desk, concern).candidates
        assert asked.total() == 0
        assert findings_shown.list_findings(desk, concern)
        assert how_it_stands(desk, concern).gates
        assert asked.total() == 0
        assert prep.prep_list(desk, concern).update
        assert max(asked.values()) == 1


def test_who_writes_sees_what_was_just_written(shop: RunningShop) -> None:
    concern = open_case(shop)
    with shop.writing(actor_of(shop, "tech")) as desk:
        assert not advice.give_advice(desk, concern).stops
        facts.put_gate(desk, concern, "battery", "fault")
        assert [stop.kind for stop in advice.give_advice(desk, concern).stops] == ["battery"]
