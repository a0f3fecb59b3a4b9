"""A new index made by several processes: the very one that a single process makes."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from multiprocessing.connection import Connection
from typing import Any

import pytest

from kb.desk.bay.search import everything, families
from kb.desk.bay.search.search_memory import lexicon_in_force
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import NoteDraft, NoteKind
from kb.nouns.vehicles import CoverageLine
from kb.search.index import SearchIndex
from tests.factories import a_note, an_update
from tests.kb.desk.imports.importing import LEAD, TECH, history, take

WORDS = ("idle hunts", "wiper stalls", "no crank", "clunk over bumps", "hunts", "lamp flickers", "stalls")
Work = Callable[[Connection, str], None]
in_full = everything._take_in
ANY_NORVANE = CoverageLine("Norvane")
MAKES = ("Norvane", "Tarn", "Kestrel")


def notes_on_file() -> list[NoteDraft]:
    """New words, makes, models and recalls of one defect come up again and again, in every slice others."""
    return [
        *(a_note(title=said, symptom=f"{said} at {at}0 mph", body="") for at, said in enumerate(WORDS)),
        an_update(),
        *(
            NoteDraft(
                NoteKind.BULLETIN,
                number=f"2{at}V10{at}",
                title=f"Recall of campaign N{at % 2}7",
                symptom="The hose may crack. Dealers will replace it.",
                coverage=(CoverageLine(MAKES[at % 3], f"M{at}", ((2017, 2018 + at),)), ANY_NORVANE),
            )
            for at in range(6)
        ),
    ]  # fmt: skip


@pytest.fixture
def filled(shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> RunningShop:
    """A shop of fourteen notes and three concerns that is much, in slices of two, for three processors."""
    for draft in notes_on_file():
        with shop.writing(LEAD) as desk:
            notes.write_note(desk, draft)
    take(
        shop,
        "history",
        history(*({"ro_number": f"{at}", "complaint": f"{WORDS[at]} uphill"} for at in range(3))),
    )
    monkeypatch.setattr(everything, "MUCH", 10)
    monkeypatch.setattr(everything, "SLICE", 2)
    monkeypatch.setattr(os, "cpu_count", lambda: 3)
    return shop


def made(
    shop: RunningShop, *, in_a_writing_request: bool = False
) -> tuple[Mapping[str, Any], dict[str, bytes]]:
    with shop.writing(LEAD) if in_a_writing_request else shop.reading(TECH) as desk:
        rows = everything.taken_in(desk)
        told = SearchIndex.of_rows(rows, lexicon_in_force(desk), families.in_force(desk)).packed()
    return told.facts, {name: array.tobytes() for name, array in told.arrays.items()}


def ends_at_once(asked: Connection, url: str) -> None:
    """Killed before it answered anything."""


def ends_after_one(asked: Connection, url: str) -> None:
    """Killed while it had more to do."""
    in_full(OneOnly(asked), url)  # type: ignore[arg-type]


class OneOnly:
    def __init__(self, asked: Connection) -> None:
        self._asked, self._left = asked, 1

    def recv(self) -> Any:
        if not self._left:
            raise EOFError
        self._left -= 1
        return self._asked.recv()

    def send(self, answer: Any) -> None:
        self._asked.send(answer)


def let_them(monkeypatch: pytest.MonkeyPatch, *work: Work) -> list[str]:
    """What the other processes do, in the order in which they are started; fills up as they are."""
    started: list[str] = []
    start = everything._started

    def starts(url: str) -> Any:
        monkeypatch.setattr(everything, "_take_in", work[len(started)])
        started.append(url)
        return start(url)

    monkeypatch.setattr(everything, "_started", starts)
    return started


@pytest.mark.both_databases
def test_several_processes_make_the_arrays_that_one_makes(
    filled: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = let_them(monkeypatch, in_full, in_full)
    alone = made(filled, in_a_writing_request=True)
    assert (alone[0]["size"], len(started)) == (17, 0)  # others would not see what it has not saved
    assert made(filled) == alone
    assert len(started) == 2


def test_what_a_process_leaves_that_is_killed_the_others_do(
    filled: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = let_them(monkeypatch, ends_after_one, ends_at_once)
    assert made(filled) == made(filled, in_a_writing_request=True)
    assert len(started) == 2


def test_how_far_it_is_is_told_now_and_then(filled: RunningShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(everything, "_TELLS_EVERY", 6)
    told: list[int] = []
    with filled.writing(LEAD) as desk:
        everything.taken_in(desk, told.append)
    assert told == [6, 12]
