"""Shop talk added by a lead: it takes effect at once, can be taken back, and stays on record."""

from __future__ import annotations

import pytest

from kb.desk.context import RunningShop
from kb.desk.notes import lexicon, notes
from kb.errors import BadInput, NotAllowed
from kb.nouns.people import Actor
from tests.factories import a_note

LEAD = Actor(0, "lead", "lead")
TECH = Actor(0, "tech", "tech")


def found(shop: RunningShop, text: str) -> list[str]:
    with shop.reading(TECH) as desk:
        return [one.title for one in lexicon.try_query(desk, text).results]


def with_notes(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, a_note(title="Stall at stop lights", symptom="engine stalls", body=""))
        notes.write_note(desk, a_note(title="Squeak from the glove box", symptom="squeak", body=""))


def test_a_phrase_of_the_shop_is_understood_from_the_next_query_on(shop: RunningShop) -> None:
    with_notes(shop)
    assert found(shop, "grobbix") == []
    with shop.writing(LEAD) as desk:
        entry = lexicon.add_entry(desk, "stall", "grobbix")
    assert found(shop, "grobbix") == ["Stall at stop lights"]
    with shop.writing(LEAD) as desk:
        lexicon.undo_entry(desk, entry.id)
    assert found(shop, "grobbix") == []
    with shop.reading(TECH) as desk:
        [kept] = lexicon.list_entries(desk)
    assert (kept.author, kept.in_force, kept.undone_by) == ("lead", False, "lead")


def test_a_phrase_that_came_with_the_program_can_be_taken_out(shop: RunningShop) -> None:
    with_notes(shop)
    assert found(shop, "flame out") == ["Stall at stop lights"]
    with shop.writing(LEAD) as desk:
        lexicon.remove_entry(desk, "stall", "flame out")
    assert found(shop, "flame out") == []


def test_what_nobody_says_is_not_taken_out_and_a_new_meaning_is_known_as_new(shop: RunningShop) -> None:
    with pytest.raises(BadInput, match="nothing to take out"), shop.writing(LEAD) as desk:
        lexicon.remove_entry(desk, "stall", "grobbix")
    with shop.writing(LEAD) as desk:
        assert (lexicon.is_new_meaning(desk, "stal"), lexicon.is_new_meaning(desk, "Stall")) == (True, False)
        with pytest.raises(BadInput, match="80"):
            lexicon.add_entry(desk, "stall", "x" * 81)


def test_adding_what_was_taken_out_puts_it_back_and_the_other_way_round(shop: RunningShop) -> None:
    with_notes(shop)
    for _ in range(2):
        with shop.writing(LEAD) as desk:
            lexicon.add_entry(desk, "stall", "grobbix")
        assert found(shop, "grobbix") == ["Stall at stop lights"]
        with shop.writing(LEAD) as desk:
            lexicon.remove_entry(desk, "stall", "grobbix")
        assert found(shop, "grobbix") == []


def test_a_meaning_may_be_named_by_a_phrase_of_it_or_be_new(shop: RunningShop) -> None:
    with_notes(shop)
    with shop.writing(LEAD) as desk:
        assert lexicon.add_entry(desk, "flame out", "grobbix").concept == "stall"
        assert lexicon.add_entry(desk, "glove box", "blorpts").concept == "glove_box"
    assert found(shop, "grobbix") == ["Stall at stop lights"]
    assert found(shop, "blorpts") == ["Squeak from the glove box"]


def test_the_same_phrase_twice_is_one_entry(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        first = lexicon.add_entry(desk, "Stall", "grobbix ")
        again = lexicon.add_entry(desk, "stall", "GROBBIX")
    assert first.id == again.id


@pytest.mark.parametrize(("concept", "phrase"), [("stall", "the of"), ("stall", "!?"), (" ", "grobbix")])
def test_what_holds_no_word_is_refused(sqlite_shop: RunningShop, concept: str, phrase: str) -> None:
    with pytest.raises(BadInput), sqlite_shop.writing(LEAD) as desk:
        lexicon.add_entry(desk, concept, phrase)


def test_a_technician_tries_but_does_not_change_the_lexicon(sqlite_shop: RunningShop) -> None:
    with pytest.raises(NotAllowed), sqlite_shop.writing(TECH) as desk:
        lexicon.add_entry(desk, "stall", "grobbix")
    with sqlite_shop.reading(TECH) as desk:
        assert "stall" in {one.concept for one in lexicon.list_concepts(desk)}
