"""A shop with work in it, taken to the tables of an older version and brought up to date, says what it said.

Every table and column that the older version knew holds afterwards what it held. `OLDER_SCHEMAS=all` goes
through each landed one; the suite takes the newest and a few from the first on.
"""

from __future__ import annotations

import os
import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from sqlalchemy import column, inspect, select, table

from kb.desk.bay.concern import concerns, facts, findings
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import (
    FindingResult,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from kb.records.migrate import alembic_config
from tests.factories import a_concern, a_note, an_update
from tests.kb.desk.imports.importing import LEAD
from tests.older import revisions

ALL = revisions()
CHOSEN = ALL if os.environ.get("OLDER_SCHEMAS") == "all" else [*ALL[:-2:12], ALL[-2]]
Cells = dict[str, tuple[tuple[str, ...], list[tuple[Any, ...]]]]


@pytest.fixture
def worked_in(tmp_path: Path, sqlite_template: Path) -> Path:
    """A closed file: two notes and three concerns, one cured, one back, one never asked."""
    file = tmp_path / "shop.db"
    shutil.copyfile(sqlite_template, file)
    with closing(RunningShop.open(f"sqlite:///{file}")) as shop:
        with shop.writing(LEAD) as desk:
            notes.write_note(desk, an_update(codes=("P0171",)))
            notes.write_note(desk, a_note())
        for number, heard in (("31", FollowUpResult.FINE), ("32", FollowUpResult.CAME_BACK), ("33", None)):
            with shop.writing(LEAD) as desk:
                one = concerns.open_concern(desk, a_concern(ro_number=number)).id
                read = CalibrationReading("PCM", "NV10A", CalibrationSource.READ)
                facts.put_calibration(desk, one, read)
                facts.put_look_up(desk, one, LookUp("PCM", desk.today, "tech", "NV10B"))
                findings.put_finding(desk, one, "fuel_trim", FindingResult.NO)
                module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(one,))
                event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
                programming.record_event(desk, event)
                if heard:
                    what_was_heard.record_follow_up(desk, one, FollowUpDraft(heard, desk.today))
    return file


def cells(shop: RunningShop, known: dict[str, tuple[str, ...]]) -> Cells:
    """Every cell of those columns, rows in the order of their text."""
    with shop.reading() as desk:
        return {
            name: (columns, sorted(map(tuple, desk.session.execute(_of(name, columns))), key=repr))
            for name, columns in known.items()
        }


def _of(name: str, columns: tuple[str, ...]) -> Any:
    return select(*(column(one) for one in columns)).select_from(table(name))


def columns_of(shop: RunningShop) -> dict[str, tuple[str, ...]]:
    looked = inspect(shop.records.engine)
    return {name: tuple(one["name"] for one in looked.get_columns(name)) for name in looked.get_table_names()}


@pytest.mark.parametrize("revision", CHOSEN)
def test_what_an_older_version_knew_is_there_after_the_upgrade(worked_in: Path, revision: str) -> None:
    url = f"sqlite:///{worked_in}"
    with closing(RunningShop.open(url)) as shop:
        now = columns_of(shop)
        whole = cells(shop, now)
        engine = shop.records.engine
        with engine.execution_options(beforeflash_writes=True).begin() as connection:
            command.downgrade(alembic_config(connection), revision)
        older = columns_of(shop)
    known = {
        name: tuple(one for one in columns if one in older.get(name, ()))
        for name, columns in now.items()
        if name in older and name not in {"alembic_version", "revision"}
    }
    with closing(RunningShop.open(url)) as shop:
        assert columns_of(shop).keys() == now.keys()
        assert cells(shop, known) == {
            name: (columns, _only(whole[name], columns)) for name, columns in known.items()
        }


def _only(
    held: tuple[tuple[str, ...], list[tuple[Any, ...]]], columns: tuple[str, ...]
) -> list[tuple[Any, ...]]:
    places = [held[0].index(one) for one in columns]
    return sorted((tuple(row[place] for place in places) for row in held[1]), key=repr)
