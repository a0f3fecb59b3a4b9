"""Zips that are traps: none may fill the memory, and each is refused in a sentence."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from collections.abc import Callable
from functools import cache

import pytest

from kb.errors import Unreadable
from kb.intake.archives import MOST_UNPACKED
from kb.intake.own_table.workbooks import is_workbook
from kb.intake.source import open_text

MB = 1_000_000


def zipped(*members: tuple[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as archive:
        for name, data in members:
            archive.writestr(name, data)
    return out.getvalue()


@cache
def bomb() -> bytes:
    """310 MB of one letter in 300 kB."""
    out = io.BytesIO()
    archive = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9)
    with archive, archive.open("table.csv", "w") as member:
        for _ in range(310):
            member.write(b"a" * MB)
    assert len(out.getvalue()) < MB
    return out.getvalue()


def lying_bomb() -> bytes:
    """The same, which says of itself that it has a thousand bytes."""
    said, true = (1000).to_bytes(4, "little"), (310 * MB).to_bytes(4, "little")
    return bomb().replace(true, said)


def many_parts() -> bytes:
    return zipped(*((f"{number:06d}.csv", b"") for number in range(30_000)), how=zipfile.ZIP_STORED)


def nested() -> bytes:
    return zipped(("inner.zip", bomb()))


def out_of_the_folder() -> bytes:
    return zipped(("../../etc/table.csv", b"a,b\n1,2\n"), ("..\\table.csv", b"a,b\n1,2\n"))


TRAPS: tuple[tuple[Callable[[], bytes], str], ...] = (
    (bomb, "larger than 300 MB"),
    (lying_bomb, "damaged"),
    (many_parts, "damaged"),
    (nested, "holds no text files"),
    (out_of_the_folder, "holds 2 text files"),
)


@pytest.mark.parametrize(("trap", "said"), TRAPS)
def test_a_trap_is_refused_in_a_sentence_and_takes_no_memory(trap: Callable[[], bytes], said: str) -> None:
    data = trap()
    tracemalloc.start()
    with pytest.raises(Unreadable, match=said):
        open_text(data)
    assert not is_workbook(data)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 12 * MB


def test_a_name_that_leads_out_of_the_folder_is_only_read(tmp_path: object) -> None:
    with open_text(zipped(("../../table.csv", b"a,b\n1,2\n"))).open() as text:
        assert text.read() == "a,b\n1,2\n"
    assert MOST_UNPACKED == 300 * MB
