"""Learning from use: what was searched for and opened is kept, shown to the lead, and changes no order."""

from __future__ import annotations

from itertools import product

import pytest
from sqlalchemy import select
from sqlmodel import col

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.programming import programming
from kb.desk.bay.search import search_use
from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import lexicon, merging_notes, notes, search_words
from kb.desk.notes.search_words import LedHere, Unanswered
from kb.errors import BadInput, NotAllowed
from kb.nouns.concerns import Ending, ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.notes import NoteDraft
from kb.nouns.people import Actor
from kb.records.tables import SearchLog
from tests.conftest import StandingClock
from tests.factories import a_concern, a_note, a_vehicle, an_update

TECH, OTHER, LEAD = Actor(0, "tech", "tech"), Actor(2, "other", "tech"), Actor(0, "lead", "lead")


def write(shop: RunningShop, draft: NoteDraft) -> int:
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, draft).id


def send_off(shop: RunningShop, text: str, actor: Actor = TECH) -> None:
    with shop.writing(actor) as desk:
        view = search(desk, SearchRequest(text))
        search_use.record_search(desk, text, *search_use.notes_among(view))


def open_from(shop: RunningShop, text: str, note_id: int, actor: Actor = TECH) -> None:
    with shop.writing(actor) as desk:
        search_use.record_opened(desk, "lesson", note_id, text)


def unanswered(shop: RunningShop) -> dict[str, Unanswered]:
    with shop.reading(LEAD) as desk:
        return {one.text: one for one in search_words.found_nothing(desk)}


def led_to(shop: RunningShop, note_id: int) -> dict[str, LedHere]:
    with shop.reading(LEAD) as desk:
        return {one.text: one for one in search_words.words_that_led_to(desk, note_id)}


def logged(shop: RunningShop) -> list[str]:
    with shop.records.reading() as session:
        return list(session.execute(select(col(SearchLog.text)).order_by(col(SearchLog.id))).scalars())


def test_words_that_found_nothing_are_counted_once_a_person_and_day_until_they_find_something(
    shop: RunningShop, clock: StandingClock
) -> None:
    write(shop, a_note())
    for actor in (TECH, TECH, OTHER):
        send_off(shop, "it Blorpts, a lot", actor)
    send_off(shop, "idle hunts")
    clock.move(days=1)
    send_off(shop, "it blorpts a lot")
    [one] = unanswered(shop).values()
    assert (one.text, one.times, one.some, one.phrase) == ("it blorpts a lot", 3, False, "blorpts lot")
    with shop.writing(LEAD) as desk:
        lexicon.add_entry(desk, "rough idle", "blorpts")
    assert unanswered(shop) == {}


def test_a_note_answers_words_until_it_is_gone_whatever_else_is_saved(shop: RunningShop) -> None:
    write(shop, a_note())
    send_off(shop, "mirror hums at dusk")
    assert len(unanswered(shop)) == 1
    answer = write(shop, a_note(title="Mirror hums at dusk", symptom="The mirror hums at dusk."))
    assert unanswered(shop) == {}
    write(shop, a_note(title="Wipers park too high"))
    assert unanswered(shop) == {}
    with shop.writing(LEAD) as desk:
        notes.retire_note(desk, answer, notes.read_note(desk, answer).version, "The mirror was another one.")
    assert len(unanswered(shop)) == 1


def test_what_found_a_vehicle_by_its_number_lacks_no_words(shop: RunningShop) -> None:
    with shop.writing(TECH) as desk:
        vehicle = a_vehicle(vin="1M8GDM9AXKP042788")  # the published example, 49 CFR 565.15
        concerns.open_concern(desk, a_concern(ro_number="4477", vehicle=vehicle))
    on_file = ("4477", "RO 4477", "KP042788", "\u2026KP042788")
    for text in (*on_file, "4478"):
        send_off(shop, text)
    left = unanswered(shop)
    assert "4478" in left
    assert not left.keys() & set(on_file)


def test_words_that_found_nothing_are_not_kept_out_by_those_that_were_asked_more_and_are_answered(
    shop: RunningShop,
) -> None:
    write(shop, a_note())
    send_off(shop, "qworgle flimps")
    for first, last in product("bdfgk", "lmnprstv"):  # 40, asked by two people each
        for actor in (TECH, OTHER):
            send_off(shop, f"blorpts {first}{last}ozzit", actor)
    assert "qworgle flimps" not in unanswered(shop)
    with shop.writing(LEAD) as desk:
        lexicon.add_entry(desk, "rough idle", "blorpts")
    assert list(unanswered(shop)) == ["qworgle flimps"]


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("blorpts at 65 2 times", "blorpts times"),
        ("blorpts, doesn't stall", "blorpts"),
        ("wont blorpt", "wont blorpt"),
        ("no codes", "no codes"),
        ("4477", "4477"),
    ],
)
def test_shop_talk_is_offered_without_figures_and_denials_unless_nothing_else_was_said(
    sqlite_shop: RunningShop, typed: str, offered: str
) -> None:
    send_off(sqlite_shop, typed)
    assert [one.phrase for one in unanswered(sqlite_shop).values()] == [offered]


def test_words_that_led_to_a_note_are_those_it_was_opened_from_and_those_it_explained(
    shop: RunningShop,
) -> None:
    lesson, update = write(shop, a_note()), write(shop, an_update())
    open_from(shop, "blorpts in the morning", lesson)
    open_from(shop, "Blorpts in the morning!", lesson, OTHER)
    open_from(shop, "blorpts in the morning", update, OTHER)  # the one they stopped at counts
    with shop.writing(TECH) as desk:
        hunts = concerns.open_concern(desk, a_concern(complaint="idle hunts", ro_number="1")).id
        bucks = concerns.open_concern(desk, a_concern(complaint="bucks", ro_number="2")).id
        search_use.record_opened_from_concern(desk, "lesson", lesson, hunts)
        cause = {"other_cause": "split hose", "explained_by": lesson}
        closing.close_concern(desk, hunts, Ending.OTHER_CAUSE, **cause)  # type: ignore[arg-type]
        module = ModuleResult("PCM", ReflashResult.COMPLETED, update, concern_ids=(bucks,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
        closing.close_concern(desk, bucks, Ending.CURED_BY_REFLASH, cured_by=update)
        search_use.record_opened_from_concern(desk, "lesson", lesson, bucks)  # too late to have led anywhere
    counted = {text: (one.opened, one.explained) for text, one in led_to(shop, lesson).items()}
    assert counted == {"idle hunts": (1, 1), "blorpts in the morning": (1, 0)}
    assert {text: one.explained for text, one in led_to(shop, update).items()}["bucks"] == 1


def test_a_kept_duplicate_keeps_the_words_of_the_merged_one(shop: RunningShop) -> None:
    first, second = write(shop, a_note()), write(shop, a_note(title="Idle hunts, again"))
    open_from(shop, "blorpts", second)
    with shop.writing(LEAD) as desk:
        merging_notes.merge_notes(desk, first, second)
    assert list(led_to(shop, first)) == ["blorpts"]


def test_the_order_of_results_does_not_learn_by_itself(shop: RunningShop) -> None:
    ids = [write(shop, a_note()) for _ in range(3)]

    def order(desk: Desk) -> list[tuple[int, float]]:
        return [(one.id, one.score) for one in search(desk, SearchRequest("idle hunts")).results]

    with shop.reading(TECH) as desk:
        before = order(desk)
    for _ in range(3):
        open_from(shop, "idle hunts", ids[2])
    with shop.reading(TECH) as desk:
        assert order(desk) == before


@pytest.mark.parametrize(
    "number",
    ["(555) 010-4477", "555.010.4477", "+1 555 010 4477", "5550104477", "010-4477", "a.b@example.org"],
)
def test_numbers_that_lead_to_a_person_are_not_kept(sqlite_shop: RunningShop, number: str) -> None:
    send_off(sqlite_shop, f"P0171 at 45 mph 120000 mi call {number} please")
    with sqlite_shop.writing(TECH) as desk:
        concerns.open_concern(desk, a_concern(complaint=f"P0171 at 45 mph 120000 mi call {number} please"))
    assert set(logged(sqlite_shop)) == {"P0171 at 45 mph 120000 mi call please"}


def test_a_vin_is_not_kept_and_long_words_are(sqlite_shop: RunningShop) -> None:
    """ISO 3779: 17 letters and digits, without I, O and Q."""
    send_off(sqlite_shop, "1NVTS52G8KR104477 intermittentlyish electrohydraulics stall")
    assert logged(sqlite_shop) == ["intermittentlyish electrohydraulics stall"]


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("call 555.010.4477ext 5 please", "call ext 5 please"),
        ("cell5550104477 stalls", "cell stalls"),
        ("c5550104477 stalls", "c stalls"),
        ("call 555\u2013010\u20134477, stalls", "call , stalls"),
        ("call 555\u2011010\u20114477 or 555\u2022010\u20224477 stalls", "call or stalls"),
        ("call_555_010_4477_stalls", "call_ _stalls"),
        ("VIN_1NVTS52G8KR104477 stalls", "VIN_ stalls"),
        ("P0301 2019 tarn vell, c1500 2018, 2019 3.6l", "P0301 2019 tarn vell, c1500 2018, 2019 3.6l"),
    ],
)
def test_a_number_is_seen_however_it_is_written_and_codes_and_models_are_none(typed: str, kept: str) -> None:
    assert search_use.without_personal(typed) == kept


def test_anything_typed_can_be_kept_on_both_databases(shop: RunningShop) -> None:
    send_off(shop, "stall\x00idle 🚗 المحرك " + "x" * 10_000)
    [kept] = logged(shop)
    assert kept.startswith("stall idle 🚗 المحرك xxx")
    assert len(kept) == search_use.LONGEST


def test_what_is_too_old_is_not_shown(sqlite_shop: RunningShop, clock: StandingClock) -> None:
    lesson = write(sqlite_shop, a_note())
    send_off(sqlite_shop, "blorpts")
    open_from(sqlite_shop, "hunts", lesson)
    clock.move(days=search_words.SHOWN_DAYS)
    assert (len(unanswered(sqlite_shop)), len(led_to(sqlite_shop, lesson))) == (1, 1)
    clock.move(days=1)
    assert (len(unanswered(sqlite_shop)), len(led_to(sqlite_shop, lesson))) == (0, 0)


def test_nothing_said_is_nothing_kept_and_a_strange_kind_is_refused(sqlite_shop: RunningShop) -> None:
    for text in ("", "  ", "🙂 !?", "555-010-4477"):
        send_off(sqlite_shop, text)
    assert logged(sqlite_shop) == []
    with pytest.raises(BadInput), sqlite_shop.writing(TECH) as desk:
        search_use.record_opened(desk, "recipe", 1, "hunts")


def test_what_found_nothing_is_for_the_lead(sqlite_shop: RunningShop) -> None:
    with pytest.raises(NotAllowed), sqlite_shop.reading(TECH) as desk:
        search_words.found_nothing(desk)


def test_concepts_proposed_for_a_note_are_those_it_speaks_of(sqlite_shop: RunningShop) -> None:
    lesson = write(sqlite_shop, a_note(title="Stalls at idle", symptom="", body=""))
    with sqlite_shop.reading(TECH) as desk:
        assert "stall" in lexicon.concepts_of(desk, lesson)
