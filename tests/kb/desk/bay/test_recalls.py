"""Recalls on the concern, from rows of the government's files, through the desk."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import text

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, recalls
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.search import families
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput, NotAllowed
from kb.nouns.recalls import RecallResult, RecallsOfConcern, RecallStanding
from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.records.migrate import alembic_config, migrate
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.bay.test_stops_and_order import advised
from tests.kb.desk.imports.importing import LEAD, TECH, take

ROWS = (Path(__file__).parents[2] / "intake" / "fixtures" / "recalls_on_cars.csv").read_bytes()
OPEN, DONE = RecallResult.OPEN, RecallResult.DONE
NOT_THIS, NONE_OPEN = RecallResult.NOT_FOR_THIS_VIN, RecallResult.NONE_OPEN
OPTIMA, XC60 = Vehicle("Kia", "Optima", 2015), Vehicle("Volvo", "XC60", 2020)
STOP = "A recall that touches this module or concern is open on this VIN."


def opened(shop: RunningShop, vehicle: Vehicle, complaint: str = "vibrates at idle", **more: str) -> int:
    with shop.writing(TECH) as desk:
        return concerns.open_concern(desk, a_concern(vehicle=vehicle, complaint=complaint, **more)).id


def found(shop: RunningShop, concern: int) -> RecallsOfConcern:
    with shop.reading(TECH) as desk:
        return recalls.list_recalls(desk, concern)


def put(
    shop: RunningShop, concern: int, number: str, result: RecallResult, touches: bool | None = None
) -> None:
    with shop.writing(TECH) as desk:
        recalls.put_recall(desk, concern, number, result, touches)


def gate(shop: RunningShop, concern: int) -> tuple[str, str, tuple[str, ...]]:
    with shop.reading(TECH) as desk:
        view = next(one for one in how_it_stands(desk, concern).gates if one.key == "recall_checked")
    return view.result, view.value, view.numbers


def surely(standings: tuple[RecallStanding, ...]) -> list[str]:
    return sorted(one.number for one in standings if one.applies is Applies.YES)


# Read off the files by hand: which NHTSA IDs name these models and years.
def test_every_recall_of_make_model_and_year_stands_on_the_concern_whatever_it_says(
    shop: RunningShop,
) -> None:
    take(shop, "recall-communications", ROWS)
    optima, xc60 = found(shop, opened(shop, OPTIMA)), found(shop, opened(shop, XC60))
    assert surely(optima.recalls) == ["20V519", "21V331", "23V652"]
    assert surely(xc60.recalls) == ["20V503", "21V414", "21V716", "23V001", "25V179"]
    assert [one.number for one in xc60.recalls if one.applies is Applies.CANNOT_TELL] == ["24V788"]
    assert surely(found(shop, opened(shop, Vehicle("VOLVO", "xc60", 2019))).recalls) == [
        "20V503",
        "21V414",
        "23V001",
    ]
    assert found(shop, opened(shop, Vehicle("Kia", "", 2015))) == RecallsOfConcern(vehicle_known=False)


def test_another_model_of_the_family_is_on_the_list_and_says_so(shop: RunningShop) -> None:
    take(shop, "recall-communications", ROWS)
    hybrid = found(shop, opened(shop, Vehicle("Hyundai", "Santa Fe Hybrid", 2024)))
    by_number = {one.number: one for one in hybrid.recalls}
    assert by_number["24V561"].applies is Applies.YES
    assert by_number["24V529"].standing == "can't tell: the note is for SANTA FE, this is Santa Fe Hybrid"
    assert (hybrid.on_file, hybrid.perhaps) == (2, 1)


def test_those_that_share_a_part_or_symptom_come_first_and_stop_only_when_they_are_open(
    shop: RunningShop,
) -> None:
    take(shop, "recall-communications", ROWS)
    concern = opened(shop, OPTIMA, "HECU fuse blown, clicking")
    first = found(shop, concern).recalls[0]
    assert (first.number, first.shares) == ("23V652", ("hecu",))
    assert advised(shop, concern).stops == ()
    put(shop, concern, "23V652", OPEN)
    assert [one.sentence for one in advised(shop, concern).stops] == [f"{STOP} Open: 23V652."]
    put(shop, concern, "23V652", OPEN, touches=False)
    assert advised(shop, concern).stops == ()
    other = "A recall about something else is open on this VIN. Open: 23V652. Tell the customer."
    assert other in advised(shop, concern).notices


def test_a_module_of_a_candidate_makes_a_recall_touch_the_concern(shop: RunningShop) -> None:
    alto = (CoverageLine("Norvane", "Tessel", ((2017, 2021),)),)
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        lines = {"steps": (), "coverage": alto, "symptom": ""}
        for number, body in (("26N001", "Program the powertrain control module."), ("26N002", "Fit a hose.")):
            notes.write_note(
                desk, an_update(number=number, title=f"Recall {number}", body=body, conditions="", **lines)
            )
    concern = opened(shop, a_vehicle(), a_concern().complaint)
    told = {one.number: one.touches for one in found(shop, concern).recalls}
    assert told == {"26N001": True, "26N002": False}


def test_the_gate_follows_from_what_was_looked_up_on_any_line_of_the_visit(shop: RunningShop) -> None:
    take(shop, "recall-communications", ROWS)
    car = replace(OPTIMA, vin="KNAGM4A77F5000001")
    first, second = opened(shop, car, line="A"), opened(shop, car, "HECU fuse blown", line="B")
    later = opened(shop, car, ro_number="2099")
    assert gate(shop, first) == ("", "", ())
    with shop.writing(TECH) as desk:
        recalls.put_look_up(desk, first, NONE_OPEN)
    assert [gate(shop, one)[0] for one in (first, second, later)] == ["fine", "fine", ""]
    put(shop, first, "23V652", OPEN)
    assert gate(shop, first) == ("fault", "other", ("23V652",))
    assert gate(shop, second) == ("fault", "touches", ("23V652",)), "the same recall touches line B"
    put(shop, second, "23v-652", DONE)
    assert gate(shop, first)[0] == ""
    for number in ("20V519", "21V331"):
        put(shop, first, number, NOT_THIS)
    assert gate(shop, second)[0] == "fine"


def test_said_in_one_word_at_the_gate_it_is_kept_as_a_look_up(shop: RunningShop) -> None:
    concern = opened(shop, OPTIMA)
    with shop.writing(TECH) as desk:
        facts.put_gate(desk, concern, "recall_checked", "fault", "other")
    assert gate(shop, concern) == ("fault", "other", ())
    assert [(one.number, one.is_open) for one in found(shop, concern).recalls] == [("", True)]
    with shop.writing(TECH) as desk:
        facts.put_gate(desk, concern, "recall_checked", "fine")
    assert gate(shop, concern)[0] == "fine"
    with shop.writing(TECH) as desk:
        facts.put_gate(desk, concern, "recall_checked", "")
    assert (gate(shop, concern)[0], found(shop, concern).recalls) == ("", ())


def test_what_is_no_number_or_no_result_of_one_is_refused(shop: RunningShop) -> None:
    concern = opened(shop, OPTIMA)
    with shop.writing(TECH) as desk:
        for number, result in (("?", OPEN), ("", DONE), ("21V331", NONE_OPEN)):
            with pytest.raises(BadInput):
                recalls.put_recall(desk, concern, number, result)
        with pytest.raises(BadInput, match="name the one"):
            recalls.put_look_up(desk, concern, OPEN)


def test_a_recall_gate_of_an_older_database_is_read_as_the_look_up_that_it_was(shop: RunningShop) -> None:
    settled = {"fine": "", "fault": "other"}
    made = [opened(shop, OPTIMA, ro_number=str(at)) for at in range(3)]
    with shop.writing(TECH) as desk:
        for concern, (result, value) in zip(made, [*settled.items(), ("fault", "touches")], strict=True):
            facts.put_gate(desk, concern, "recall_checked", result, value)
    before = [gate(shop, concern) for concern in made]
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0010")
        old = connection.execute(text("SELECT result FROM gate ORDER BY concern_id")).scalars().all()
        assert old == ["fine", "fault", "fault"]
    migrate(engine)
    shop.memory.forget()
    assert [gate(shop, concern) for concern in made] == before
    assert before == [("fine", "", ()), ("fault", "other", ()), ("fault", "touches", ())]


def test_a_lead_may_join_names_and_the_next_look_reads_them_so(shop: RunningShop) -> None:
    take(shop, "recall-communications", ROWS)
    concern = opened(shop, Vehicle("Kia", "K5", 2015))
    assert found(shop, concern).recalls == ()
    with shop.reading(TECH) as desk, pytest.raises(NotAllowed):
        families.add_entry(desk, "Kia", ["Optima", "K5"], apart=False)
    with shop.writing(LEAD) as desk:
        made = families.add_entry(desk, " kia ", ["Optima", "K5", "optima"], apart=False)
        with pytest.raises(BadInput):
            families.add_entry(desk, "Kia", ["Optima"], apart=False)
    assert made.entry.names == ("Optima", "K5")
    assert [one.applies for one in found(shop, concern).recalls] == [Applies.CANNOT_TELL] * 3
    with shop.writing(LEAD) as desk:
        families.undo_entry(desk, made.id)
    assert found(shop, concern).recalls == ()
    with shop.reading(TECH) as desk:
        assert not advice.give_advice(desk, concern).stops
