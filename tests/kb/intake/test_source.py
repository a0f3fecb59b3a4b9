from __future__ import annotations

import io
import zipfile
from random import Random

import pytest

from kb.errors import Unreadable
from kb.intake.formats import FORMATS
from kb.intake.rows import ReadOptions
from kb.intake.source import open_text
from kb.nouns.imports import Encoding
from tests.kb.intake.reading import FIXTURES, TODAY, read

RECALLS = (FIXTURES / "recall_communications.csv").read_bytes()


def zipped(name: str, data: bytes) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return file.getvalue()


def with_flipped_byte(data: bytes, place: int) -> bytes:
    return data[:place] + bytes([data[place] ^ 255]) + data[place + 1 :]


@pytest.mark.parametrize("name", sorted(FORMATS))
@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b" \r\n\n", "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "not a text file"),
        (Random(7).randbytes(5000).replace(b"\0", b"\1"), r"\."),
        (b"%PDF-1.7\n1 0 obj\n", r"\."),
        (zipped("sheet.xml", b"<a/>"), "no text files"),
        (zipped("a.csv", RECALLS)[:-200], "damaged or cut short"),
        (with_flipped_byte(zipped("a.csv", RECALLS), 200), "damaged or cut short"),
        (b"PK\x03\x04 nothing else", "damaged or cut short"),
        (b"a;b;c\n1;2;3\n", r"\."),
    ],
    ids=["empty", "blank", "picture", "noise", "pdf", "no table", "cut", "damaged", "stub", "wrong header"],
)
def test_a_file_of_which_nothing_can_be_read_says_so_before_the_first_row(
    name: str, data: bytes, says: str
) -> None:
    with pytest.raises(Unreadable, match=says) as refused:
        FORMATS[name].read(data, ReadOptions(TODAY))
    assert refused.value.message.endswith(".")


def test_two_tables_in_one_zip_are_refused_rather_than_one_of_them_chosen() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a.csv", RECALLS)
        archive.writestr("b.csv", RECALLS)
    with pytest.raises(Unreadable, match="2 text files"):
        open_text(file.getvalue())


def test_a_zip_and_its_file_give_the_same() -> None:
    zip_result = read("recall-communications", zipped("RCL.csv", RECALLS))
    assert zip_result == read("recall-communications", RECALLS)


def test_the_shadow_files_that_some_zips_carry_are_passed_over() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("__MACOSX/._RCL.csv", b"\0\5")
        archive.writestr("RCL.csv", RECALLS)
    assert len(read("recall-communications", file.getvalue()).notes) == 3


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_letters_with_accents_are_read_in_every_unicode_encoding(encoding: str) -> None:
    data = "ro_number,complaint\n1,Motor ruckelt spürbar – 4×\n".encode(encoding)
    result = read("history", data)
    assert result.rows[0].complaint == "Motor ruckelt spürbar – 4×"
    assert result.warnings == []


def test_windows_text_is_read_with_a_warning() -> None:
    result = read("history", "ro_number,complaint\n1,Motor ruckelt spürbar\n".encode("cp1252"))
    assert result.rows[0].complaint == "Motor ruckelt spürbar"
    assert "cp1252" in result.warnings[0].message
    assert result.warnings[0].line == 0


def test_an_encoding_that_is_none_of_the_file_gives_wrong_letters_and_no_fault() -> None:
    for encoding in Encoding:
        with open_text(b"history.csv", encoding).open() as text:
            assert text.read()
