"""The index in a file: made once for all processes, and anew without a word where it is of another shop."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Barrier, Thread

import pytest

from kb.desk.bay.search import kept_index, search_memory
from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import RunningShop
from kb.desk.notes import lexicon, notes
from kb.errors import NotFound
from tests.factories import a_note
from tests.kb.desk.imports.importing import LEAD, TECH


@pytest.fixture
def builds(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Fills up by one whenever an index is made of everything."""
    made: list[str] = []
    original = search_memory._built

    def counted(*args: object) -> kept_index.Held:
        made.append("built")
        return original(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(search_memory, "_built", counted)
    return made


@pytest.fixture
def folder(sqlite_template: Path, tmp_path: Path) -> Path:
    shutil.copyfile(sqlite_template, tmp_path / "shop.db")
    return tmp_path


@pytest.fixture
def processes(folder: Path) -> Iterator[list[RunningShop]]:
    """Each call of a started one is one more process of that shop, closed at the end."""
    started: list[RunningShop] = []
    yield started
    for one in started:
        one.close()


def start(folder: Path, processes: list[RunningShop]) -> RunningShop:
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    kept_index.share(shop)
    processes.append(shop)
    return shop


def titles(shop: RunningShop, text: str) -> list[str]:
    with shop.reading(TECH) as desk:
        return [one.title for one in search(desk, SearchRequest(text)).results]


def write(shop: RunningShop, title: str) -> int:
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, a_note(title=title, symptom=title, body="")).id


def index_file(folder: Path) -> Path:
    (one,) = (folder / "search").glob("*.arrays")
    return one


def test_one_process_builds_all_others_map_it_and_what_is_saved_later_reaches_each(
    folder: Path, processes: list[RunningShop], builds: list[str]
) -> None:
    first = start(folder, processes)
    write(first, "Idle hunts")
    assert titles(first, "hunts") == ["Idle hunts"]
    second = start(folder, processes)
    assert titles(second, "hunts") == ["Idle hunts"]
    note = write(second, "Horn zorbs")
    assert titles(first, "zorbs") == titles(second, "zorbs") == ["Horn zorbs"]
    with first.writing(LEAD) as desk:
        draft = replace(notes.read_note(desk, note).content, title="Wiper quibbles", symptom="wiper quibbles")
        notes.change_note(desk, note, 1, draft)
    third = start(folder, processes)
    assert titles(third, "quibbles") == titles(second, "quibbles") == ["Wiper quibbles"]
    assert titles(third, "zorbs") == titles(first, "zorbs") == []
    assert builds == ["built"]


def test_processes_that_start_at_once_build_once(
    folder: Path, processes: list[RunningShop], builds: list[str]
) -> None:
    write(start(folder, processes), "Idle hunts")
    begin, found = Barrier(3), []

    def ask(shop: RunningShop) -> None:
        begin.wait()
        found.extend(titles(shop, "hunts"))

    threads = [Thread(target=ask, args=(start(folder, processes),)) for _ in range(3)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert found == ["Idle hunts"] * 3
    assert builds == ["built"]


def test_a_broken_file_or_one_of_another_program_is_made_anew_without_a_word(
    folder: Path, processes: list[RunningShop], builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = start(folder, processes)
    write(shop, "Idle hunts")
    titles(shop, "hunts")
    file = index_file(folder)
    file.write_bytes(file.read_bytes()[:-200])
    assert titles(start(folder, processes), "hunts") == ["Idle hunts"]
    assert index_file(folder) != file
    monkeypatch.setattr(kept_index, "program_mark", lambda: "of a newer program")
    assert titles(start(folder, processes), "hunts") == ["Idle hunts"]
    assert builds == ["built"] * 3


def test_after_a_backup_was_put_back_nothing_is_found_that_it_never_held(
    folder: Path, processes: list[RunningShop], builds: list[str]
) -> None:
    """Both pasts count as many saves: numbers alone would take one for the other."""
    shop = start(folder, processes)
    write(shop, "Idle hunts")
    shop.close()
    shutil.copyfile(folder / "shop.db", folder / "backup")
    shop = start(folder, processes)
    write(shop, "Horn zorbs")
    assert titles(shop, "zorbs") == ["Horn zorbs"]
    shop.close()
    shutil.copyfile(folder / "backup", folder / "shop.db")
    shop = start(folder, processes)
    write(shop, "Wiper quibbles")
    assert titles(shop, "zorbs") == []
    assert titles(shop, "quibbles") == ["Wiper quibbles"]
    assert builds == ["built"] * 2


def test_what_a_request_wrote_and_took_back_is_in_no_file_and_costs_no_index(
    folder: Path, processes: list[RunningShop], builds: list[str]
) -> None:
    shop = start(folder, processes)
    write(shop, "Idle hunts")
    titles(shop, "hunts")
    with pytest.raises(NotFound), shop.writing(LEAD) as desk:  # noqa: PT012  # one transaction, rolled back
        written = notes.write_note(desk, a_note(title="Horn zorbs", symptom="zorbs", body=""))
        search_memory.index(desk)
        notes.retire_note(desk, written.id + 1, 1, "there is no such note")
    assert titles(shop, "zorbs") == titles(start(folder, processes), "zorbs") == []
    assert titles(shop, "hunts") == ["Idle hunts"]
    assert builds == ["built"]


def test_where_no_file_can_be_written_the_process_keeps_its_own(
    folder: Path, processes: list[RunningShop], builds: list[str]
) -> None:
    (folder / "search").write_bytes(b"")
    shop = start(folder, processes)
    write(shop, "Idle hunts")
    assert titles(shop, "hunts") == titles(start(folder, processes), "hunts") == ["Idle hunts"]
    assert builds == ["built"] * 2


def test_what_was_read_ahead_serves_the_first_who_asks_by_the_words_of_that_moment(
    folder: Path, processes: list[RunningShop], builds: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = start(folder, processes)
    write(first, "Engine stalls")
    assert titles(first, "stalls") == ["Engine stalls"]
    search_memory.read_ahead(f"sqlite:///{folder / 'shop.db'}", folder)
    monkeypatch.setattr(kept_index.SearchIndex, "of_packed", None)  # nobody maps it again
    with first.writing(LEAD) as desk:
        lexicon.add_entry(desk, "stall", "gave up the zorb")
    write(first, "Horn quibbles")
    second = start(folder, processes)
    assert titles(second, "gave up the zorb") == ["Engine stalls"]
    assert titles(second, "quibbles") == ["Horn quibbles"]
    assert builds == ["built"]


def test_without_a_shop_or_an_index_nothing_is_read_ahead_and_nothing_made(tmp_path: Path) -> None:
    search_memory.read_ahead(f"sqlite:///{tmp_path / 'shop.db'}", tmp_path)
    assert list(tmp_path.iterdir()) == []
