"""The bytes of a file as lines of text: zip or plain, in whatever encoding, or Unreadable with what to do."""

from __future__ import annotations

import codecs
import io
import lzma
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import BinaryIO, TextIO, cast

from kb.errors import Unreadable
from kb.intake.archives import MOST_UNPACKED, open_archive
from kb.intake.encodings import narrow_encoding, wide_encoding
from kb.intake.rows import RowError, Severity
from kb.nouns.imports import Encoding

_CHUNK = 1 << 20
_HEAD = 1024
_WEB_PAGE = (
    "This is a web page, whatever its name says. Open it in a spreadsheet program, save it as .xlsx or CSV, "
    "and give that file."
)
_TEXT_ENDINGS = (".csv", ".txt", ".tsv")


@dataclass(frozen=True, slots=True)
class TextFile:
    """A file that was read through once and can be opened as text again and again."""

    opener: Callable[[], BinaryIO]
    encoding: str
    warnings: tuple[RowError, ...] = ()

    def open(self) -> TextIO:
        """A text stream from the beginning; line ends stay as they are."""
        return io.TextIOWrapper(self.opener(), encoding=self.encoding, errors="replace", newline="")


def open_text(data: bytes, encoding: Encoding | None = None) -> TextFile:
    """Look through the bytes of a file, or of the one text file in a zip, in the `encoding` if one is given.

    Raises Unreadable for an empty, damaged, locked, overlarge or non-text file.
    """
    if not data or data.isspace():
        raise Unreadable("The file is empty. Choose the file again; if it is empty there too, fetch it anew.")
    _refuse_other_kinds(data)
    opener = _zip_member(data) if data[:4] in (b"PK\x03\x04", b"PK\x05\x06") else lambda: io.BytesIO(data)
    try:
        found = _encoding(opener)
    except (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, NotImplementedError) as damage:
        raise Unreadable("The zip file is damaged or cut short. Fetch it again.") from damage
    if encoding is not None and not found.startswith("utf-16"):
        return TextFile(opener, _AS_SAID.get(encoding, encoding.value))
    warning = _GUESSED.get(found)
    return TextFile(
        opener, found, (RowError(0, "", warning.format(found), Severity.WARNING),) if warning else ()
    )


_AS_SAID = {Encoding.UTF_8: "utf-8-sig", Encoding.UTF_16: "utf-16-le"}
"""Read so where the file does not say it by its first bytes, without which "utf-16" alone cannot be read."""
_LOOK = " Look at letters with accents; if they are wrong, choose another encoding."
_GUESSED = {
    Encoding.WINDOWS.value: "The file is not in UTF-8; it was read as Windows text ({})." + _LOOK,
    Encoding.MAC.value: "The file is not in UTF-8; it was read as text of an older Mac ({})." + _LOOK,
    Encoding.LATIN_1.value: "The file is not in UTF-8; it was read as {}." + _LOOK,
}
_KINDS = {
    b"%PDF": "This is a PDF, whatever its name says. Export the table as CSV or .xlsx and give that file.",
    b"\xd0\xcf\x11\xe0": "This is a workbook with a password, or one of the old .xls kind. Open it in a "
    "spreadsheet program, save it as .xlsx without a password or as CSV, and give that file.",
    b"<!DOCTYPE": _WEB_PAGE,
    b"<html": _WEB_PAGE,
}


def _refuse_other_kinds(data: bytes) -> None:
    """A file that tells by its first bytes that it is no table."""
    begins = data[:_HEAD].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    for first, sentence in _KINDS.items():
        if begins.startswith(first.lower()):
            raise Unreadable(sentence)


def _zip_member(data: bytes) -> Callable[[], BinaryIO]:
    try:
        archive = open_archive(data)
    except (zipfile.BadZipFile, EOFError, ValueError) as damage:
        raise Unreadable("The zip file is damaged or cut short. Fetch it again.") from damage
    members = [m for m in archive.infolist() if _is_text(m.filename)]
    if len(members) != 1:
        raise Unreadable(
            f"The zip file holds {len(members) or 'no'} text files (.csv, .txt). Give one with exactly one; "
            "save a spreadsheet as CSV first."
        )
    if members[0].flag_bits & 1:
        raise Unreadable("The zip file is locked with a password. Unpack it and give the file inside.")
    if members[0].file_size > MOST_UNPACKED:  # no more than it says is ever unpacked of it
        raise Unreadable("The file in the zip is larger than 300 MB. Split it and give the parts one by one.")
    return lambda: _member(archive, members[0])


def _member(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> BinaryIO:
    return cast("BinaryIO", archive.open(member))


def _is_text(name: str) -> bool:
    return name.lower().endswith(_TEXT_ENDINGS) and not name.startswith("__MACOSX/")


def _encoding(opener: Callable[[], BinaryIO]) -> str:
    """The encoding, found by reading everything once; that also proves a zip's check sum."""
    decoder = codecs.getincrementaldecoder("utf-8-sig")()
    is_utf8, wide = True, ""
    with opener() as stream:
        for number, chunk in enumerate(iter(lambda: stream.read(_CHUNK), b"")):
            wide = wide_encoding(chunk) if number == 0 else wide
            if b"\0" in chunk and not wide:
                raise Unreadable("This is not a text file. Save the table as CSV and give that file.")
            is_utf8 = is_utf8 and not wide and _decodes(decoder, chunk)
    if wide:
        return wide
    if is_utf8 and _decodes(decoder, b"", final=True):
        return "utf-8-sig"
    with opener() as stream:
        return narrow_encoding(iter(lambda: stream.read(_CHUNK), b"")).value


def _decodes(decoder: codecs.IncrementalDecoder, chunk: bytes, final: bool = False) -> bool:
    try:
        decoder.decode(chunk, final)
    except UnicodeDecodeError:
        return False
    return True
