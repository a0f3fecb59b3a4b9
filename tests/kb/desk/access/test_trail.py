"""The trail holds: what was changed, taken out, put in or cut off is found, and nothing else is."""

from __future__ import annotations

import hashlib
import json
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

import kb.desk
from api import cli
from kb.desk.access import trail
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import out_and_in_again
from kb.errors import Conflict
from kb.nouns.people import Actor
from kb.nouns.shop.trail import TrailAsked, TrailCheck, TrailLine
from kb.nouns.shop.trail_words import SAID
from kb.records import migrate
from kb.records.engine import open_engine
from kb.records.store.shop.shop import TOPICS
from tests.web.browsing import Visitor

LEAD = Actor(0, "lead", "lead")
COPIED = "shop_id, at, who, action, noun, detail, detail_digest, seal"


def note(shop: RunningShop, *words: str) -> None:
    for word in words:
        with shop.writing(LEAD) as desk:
            desk.note_down("wrote", "note", len(word), word=word, numbers=[1.5, None, {"b": 1, "a": "ä"}])


def test_what_a_line_says_reads_on_to_what_it_was_done_to() -> None:
    """Each phrase is of an action that the program writes; each action on a concern is a verb or has one."""
    plain = {"changed", "closed", "opened", "released", "reopened", "sent out"}
    files = Path(kb.desk.__file__).parent.rglob("*.py")
    written = "".join(one.read_text("utf-8") for one in files)
    no_more = {"reported done"}  # lines of before stay in a trail
    assert {action for action in SAID if f'"{action}"' not in written} == no_more
    of_concerns = set(re.findall(r'note_down\(\s*"([^"]+)",\s*"concern"', written))
    assert of_concerns - SAID.keys() - plain == set()
    line = TrailLine(1, datetime.now(UTC), "rosa", "next", "concern", 901, {}, words_gone=False)
    assert f"{line.said} {line.noun} {line.noun_id}" == "said what is next on concern 901"


def check(shop: RunningShop, noted: str = "") -> TrailCheck:
    with shop.reading(CONSOLE) as desk:
        return trail.check_trail(desk, noted)


def behind_its_back(shop: RunningShop, *statements: str) -> None:
    """As somebody would who has the database itself: its refusals are taken away first."""
    before = ["DROP TRIGGER IF EXISTS trail_keeps_UPDATE", "DROP TRIGGER IF EXISTS trail_keeps_DELETE"]
    after: list[str] = []
    if not shop.records.is_sqlite:  # whose database is used again
        before, after = (["ALTER TABLE trail DISABLE TRIGGER ALL"], ["ALTER TABLE trail ENABLE TRIGGER ALL"])
    with shop.records.writing() as session:
        for statement in (*before, *statements, *after):
            session.execute(text(statement))


@pytest.mark.both_databases
def test_each_seal_is_that_of_a_slow_twin(shop: RunningShop) -> None:
    """By hand from what the module says: over the seal before and the columns, words by a digest."""
    note(shop, "one", "two", "three")
    with shop.reading(CONSOLE) as desk:
        rows = desk.session.execute(text("SELECT * FROM trail ORDER BY id")).mappings().all()
        lines = trail.read_trail(desk, TrailAsked()).lines[::-1]
        head = desk.session.execute(text("SELECT rows, seal FROM trail_head")).one()
    before = ""
    for row, line in zip(rows, lines, strict=True):
        words = json.dumps(dict(sorted(line.detail.items())), separators=(",", ":"), sort_keys=True)
        digest = hashlib.sha256((row["salt"] + words).encode()).hexdigest()
        at = line.at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f+00:00")
        told: list[Any] = [before, 1, at, None, "lead", "wrote", "note", line.noun_id, digest]
        before = hashlib.sha256(json.dumps(told, separators=(",", ":")).encode()).hexdigest()
        assert row["seal"] == before
    assert tuple(head) == (3, before)
    assert check(shop) == TrailCheck(3, None, check(shop).says, before, 0)
    assert check(shop, before[:16]).holds
    assert not check(shop, "0" * 16).holds


@pytest.mark.both_databases
@pytest.mark.parametrize(
    ("statement", "broken_at"),
    [
        ("UPDATE trail SET who = 'somebody' WHERE id = 2", 2),
        ("UPDATE trail SET at = '2020-01-01 00:00:00' WHERE id = 1", 1),
        ("UPDATE trail SET detail = '{}' WHERE id = 2", 2),
        ("UPDATE trail SET detail = '{\"a\": 1}', salt = NULL WHERE id = 3", 3),
        ("DELETE FROM trail WHERE id = 1", 2),
        ("DELETE FROM trail WHERE id = 3", 4),
        ("DELETE FROM trail WHERE id = 4", 0),
        ("DELETE FROM trail", 0),
        (f"INSERT INTO trail (id, {COPIED}) SELECT 9, {COPIED} FROM trail WHERE id = 4", 9),  # noqa: S608
    ],
)
def test_what_is_done_behind_its_back_is_found(shop: RunningShop, statement: str, broken_at: int) -> None:
    note(shop, "one", "two", "three", "four")
    behind_its_back(shop, statement)
    found = check(shop)
    assert (found.holds, found.broken_at) == (False, broken_at)
    note(shop, "five")
    assert check(shop).broken_at in {broken_at, 5}  # what is cut off is found at the line that follows


@pytest.mark.both_databases
def test_writers_of_two_processes_at_once_write_one_chain(shop: RunningShop, twin: RunningShop) -> None:
    together = threading.Barrier(6)

    def write(number: int) -> None:
        together.wait()
        note(twin if number % 2 else shop, *["word"] * 8)

    with ThreadPoolExecutor(6) as people:
        for done in [people.submit(write, number) for number in range(6)]:
            done.result()
    assert check(shop).says == "The trail is whole: 48 lines, each sealed with the one before."


@pytest.mark.both_databases
def test_words_can_go_and_nothing_else_and_the_seals_hold(shop: RunningShop) -> None:
    note(shop, "her number is 555-0142", "two")
    for statement in ("UPDATE trail SET detail = '{}', salt = NULL, who = 'x'", "UPDATE trail SET seal = ''"):
        with pytest.raises(DBAPIError, match="only ever appended"), shop.writing(CONSOLE) as desk:
            desk.session.execute(text(statement))
    with shop.writing(CONSOLE) as desk:
        trail.take_words_away(desk, 1)
    with pytest.raises(Conflict), shop.writing(CONSOLE) as desk:
        trail.take_words_away(desk, 1)
    assert check(shop).says == (
        "The trail is whole: 3 lines, each sealed with the one before. The words of 1 line were taken away."
    )
    with shop.reading(CONSOLE) as desk:
        lines = trail.read_trail(desk, TrailAsked()).lines
        assert "555-0142" not in str(desk.session.execute(text("SELECT * FROM trail")).all())
    assert [(one.action, one.words_gone) for one in lines] == [
        ("took away the words of", False),
        ("wrote", False),
        ("wrote", True),
    ]


def test_the_lines_of_an_older_shop_are_sealed_when_it_is_brought_up_to_date(tmp_path: Path) -> None:
    engine = open_engine(f"sqlite:///{tmp_path / 'shop.db'}")
    with migrate.changing_tables(engine) as connection:
        migrate.upgrade(connection, "0036")
        opened = "INSERT INTO shop VALUES (1, 'Old', 'UTC', 'USD', 0, NULL, '2025-01-01 00:00:00')"
        connection.execute(text(opened))
        for topic in TOPICS:
            connection.execute(text("INSERT INTO revision VALUES (1, :topic, 0)"), {"topic": topic})
        columns = "INSERT INTO trail (shop_id, at, who, action, noun, noun_id, detail) VALUES "
        values = "(1, :at, 'maria', 'wrote', 'note', 7, '{}')"
        for day in (1, 2, 3):
            connection.execute(text(columns + values), {"at": f"2025-01-0{day} 08:00:00.123456"})
        migrate.upgrade(connection)
        refused = "UPDATE trail SET who = 'x'"
        with pytest.raises(DBAPIError, match="only ever appended"):
            connection.execute(text(refused))
    engine.dispose()
    shop = RunningShop.open(f"sqlite:///{tmp_path / 'shop.db'}")
    assert check(shop).says == "The trail is whole: 3 lines, each sealed with the one before."
    shop.close()


def test_command_page_and_export_keep_the_chain_and_say_so(
    sqlite_shop: RunningShop,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    note(sqlite_shop, "one", "two")
    owner = Visitor(sqlite_shop).sign_in("owner")
    page = owner.send("/shop/trail", "/shop/trail/checked")
    assert "The trail is whole" in page.text
    assert "by owner" in page.text.lower()
    shown = owner.see("/shop/trail?who=lead&noun=note&day=2026-10-31")
    assert shown.text.count("wrote") == 2
    assert "signed in as Owner" in " ".join(owner.see("/shop/trail").text.split())
    assert "No line is like that" in owner.see("/shop/trail?day=2026-10-30").text
    owner.see("/shop/trail?day=yesterday", expect=422)
    owner.send("/shop/trail", "/shop/trail/1/words-away")
    file = tmp_path / "all.jsonl"
    with sqlite_shop.reading(CONSOLE) as desk:
        out_and_in_again.export_to_file(desk, file)
    monkeypatch.setenv("BEFOREFLASH_DATABASE_URL", f"sqlite:///{tmp_path / 'new' / 'shop.db'}")
    capsys.readouterr()
    assert cli.main(["import", "shop", str(file)]) == 0
    assert "The trail is whole" in capsys.readouterr().out
    assert cli.main(["trail", "--verify", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["holds"]
    assert told["without_words"] == 1
    new = RunningShop.open(f"sqlite:///{tmp_path / 'new' / 'shop.db'}")
    behind_its_back(new, "UPDATE trail SET who = 'nobody' WHERE id = 2")
    new.close()
    assert cli.main(["trail", "--verify", "--noted", told["seal"]]) == 1
    said = capsys.readouterr().out
    assert "Line 2 (2026-10-31 12:00, nobody: wrote note 3) is not as it was written" in said
    assert cli.main(["trail", "--who", "lead"]) == 0
    assert "1\t2026-10-31 12:00\tlead\twrote note 3\n" in capsys.readouterr().out
