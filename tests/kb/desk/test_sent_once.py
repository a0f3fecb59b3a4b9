"""What is sent in is taken once: from two processes at once, after a crash, changed, and after a month."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import func, select

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.sent_once import KEPT, Answer, Sending, SentBefore, SentOtherwise
from kb.records.tables import ConcernRow, SentOnce
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of

pytestmark = pytest.mark.both_databases

TIMES = 8


def sent(shop: RunningShop, content: str = "it bucks", key: str = "k", who: str = "tech") -> Sending:
    return Sending(shop, actor_of(shop, who), key, content)


def take(sending: Sending) -> str:
    """Open a concern and answer with its number; the first answer where it was taken before."""
    try:
        with sending:
            with sending.writing() as desk:
                opened = concerns.open_concern(desk, a_concern())
            with sending.reading() as desk:
                assert desk.session.get(ConcernRow, opened.id)
            sending.answered(201, str(opened.id))
    except SentBefore as before:
        return before.answer.body
    return str(opened.id)


def on_file(shop: RunningShop) -> tuple[int, int]:
    """Concerns, and keys that are known."""
    with shop.reading() as desk:
        counted = [
            desk.session.scalar(select(func.count()).select_from(table)) or 0
            for table in (ConcernRow, SentOnce)
        ]
    return counted[0], counted[1]


def test_sent_by_many_at_once_to_two_processes_it_is_taken_once(shop: RunningShop, twin: RunningShop) -> None:
    tech, together = actor_of(shop, "tech"), threading.Barrier(TIMES)

    def send(number: int) -> str:
        together.wait()
        return take(Sending((shop, twin)[number % 2], tech, "k", "it bucks"))

    with ThreadPoolExecutor(TIMES) as people:
        answers = set(people.map(send, range(TIMES)))
    assert on_file(shop) == (1, 1)
    assert len(answers) == 1


def test_what_fails_on_the_way_leaves_neither_work_nor_key(shop: RunningShop) -> None:
    for fails_after in ("saving", "answering"):
        with pytest.raises(RuntimeError), sent(shop) as sending:  # noqa: PT012  # what comes before must go
            with sending.writing() as desk:
                concerns.open_concern(desk, a_concern())
                if fails_after == "saving":
                    raise RuntimeError
            raise RuntimeError
        assert on_file(shop) == (0, 0)
    assert take(sent(shop)) == take(sent(shop))
    assert on_file(shop) == (1, 1)


def test_the_same_key_with_other_words_is_refused_and_another_persons_is_another(shop: RunningShop) -> None:
    take(sent(shop))
    with pytest.raises(SentOtherwise):
        take(sent(shop, content="it surges"))
    take(sent(shop, who="lead"))
    assert on_file(shop) == (2, 2)


def test_work_apart_stands_before_its_answer_is_known(shop: RunningShop, clock: StandingClock) -> None:
    with sent(shop) as sending:
        with sending.writing() as desk:
            concerns.open_concern(desk, a_concern())
        sending.settle()
        assert on_file(shop) == (1, 1)
        with shop.reading() as desk, pytest.raises(SentBefore) as early:
            sent(shop).refuse_again(desk)
        assert early.value.answer == Answer(0, "", clock.now)
        sending.answered(201, "done")
    assert take(sent(shop)) == "done"


def test_a_key_is_forgotten_after_a_month_and_neither_key_nor_words_are_kept(
    shop: RunningShop, clock: StandingClock
) -> None:
    take(sent(shop, content="password: hunter2", key="a key"))
    with shop.reading() as desk:
        row = desk.session.execute(select(SentOnce)).scalar_one()
        assert "hunter2" not in str(row) + row.answer
        assert "a key" not in str(row)
    clock.move(seconds=KEPT.total_seconds() + 1)
    take(sent(shop, key="another"))
    assert on_file(shop) == (2, 1)
