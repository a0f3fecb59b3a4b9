"""Reading it from what is there: photos of labels and screens, PDFs and texts, into values to accept.

Nothing is saved and nothing of the shop is looked at, so no desk is asked for: no transaction stays open
while photos wait for their turn.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import BinaryIO

from PIL.Image import Image

from kb.errors import BadInput, Unreadable
from kb.intake.scan import letters, pictures
from kb.intake.scan.found import Found, Seen
from kb.intake.scan.reading import read_scan
from kb.intake.text.files import text_of_file
from kb.nouns.vehicles import CalibrationSource

MOST_FILES = 10
MOST_BYTES = 20 << 20
_PICTURES = (b"\xff\xd8\xff", b"\x89PNG", b"RIFF", b"GIF8", b"BM", b"II*\x00", b"MM\x00*")
_PICTURE_NAMES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".gif", ".bmp", ".tif", ".tiff")
_LETTERS_MISSING = (
    "Only bar codes and 2-D codes are read from photos here. To read their letters too, install Beforeflash "
    'with the extra "photo": pip install "beforeflash[photo]".'
)
_NOTHING = (
    "Nothing was found. Take the photo closer, straight on and without glare, or paste the text of the "
    "report."
)
_MOST_SLIPS = 3


@dataclass(frozen=True, slots=True)
class SeenFile:
    """A photo, PDF or text as it was sent; it is read from where it waits when its turn has come."""

    name: str
    content: BinaryIO


@dataclass(frozen=True, slots=True)
class SeenValue:
    """One value to accept, the words it was read from, and how an ID so read came to us.

    `doubtful` are places of the value, from 1, to be compared with the original.
    """

    field: Seen
    value: str
    module: str
    status: str
    read_from: str
    doubtful: tuple[int, ...]
    source: CalibrationSource


@dataclass(frozen=True, slots=True)
class SeenValues:
    """What was read, and what could not be, in a sentence."""

    proposals: tuple[SeenValue, ...]
    message: str = ""


def read_scans(text: str, files: Sequence[SeenFile]) -> SeenValues:
    """What a text and files propose, each value once. BadInput where there is nothing to read or more than
    10 files; Unreadable where no file can be read, with what to do.
    """
    if not text.strip() and not files:
        raise BadInput("Choose a photo or a file, or paste a text.", fields={"file": "nothing to read"})
    if len(files) > MOST_FILES:
        raise BadInput(
            f"At most {MOST_FILES} files are read at a time. Send the others after these.",
            fields={"file": "too many"},
        )
    found = [_seen(one, CalibrationSource.READ) for one in read_scan(text)]
    said: list[str] = []
    for one in files:
        try:
            with pictures.in_turn():
                found += _read_file(one, said)
        except Unreadable as refused:
            if len(files) == 1 and not text.strip():
                raise
            said.append(refused.message)
    if len(said) == len(files) > 0 and not found and _LETTERS_MISSING not in said:
        raise Unreadable(" ".join(dict.fromkeys(said)))
    kept = tuple(_each_once(found))
    return SeenValues(kept, " ".join(dict.fromkeys((*(() if kept else (_NOTHING,)), *said))))


def _read_file(file: SeenFile, said: list[str]) -> list[SeenValue]:
    data = bytes_of(file)
    if not _is_picture(file.name, data):
        return [_seen(one, CalibrationSource.READ) for one in read_scan(text_of_file(file.name, data))]
    picture = pictures.opened(file.name or "The file", data)
    return [_seen(one, CalibrationSource.PHOTO) for one in _seen_in(picture, said)]


def _seen_in(picture: Image, said: list[str]) -> list[Found]:
    """What a photo shows. A label whose code tells its VIN is read by that alone, twenty times as fast."""
    found = [one for code in pictures.codes_at_once(picture) for one in read_scan(code)]
    if any(one.field is Seen.VIN and not one.doubtful for one in found):
        return found
    told = letters.letters_in(picture)
    said += filter(None, (what_is_missing(),))
    found += read_scan(told.text, doubts=told.doubts)
    if all(one.field is Seen.VIN and one.doubtful for one in found):
        found += [one for code in pictures.codes_in(picture) for one in read_scan(code)]
    return found


def what_is_missing() -> str:
    """What is to be installed before the letters of photos are read; empty where they are."""
    return "" if letters.can_be_read() else _LETTERS_MISSING


def bytes_of(file: SeenFile) -> bytes:
    """The file from its beginning. Raises Unreadable where it is larger than 20 MB."""
    file.content.seek(0)
    data = file.content.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise Unreadable(
            f"{file.name or 'The file'} is larger than 20 MB. Take the photo with a smaller picture size."
        )
    return data


def is_photo(file: SeenFile) -> bool:
    """Whether the file is a photo, by its first bytes or its name."""
    file.content.seek(0)
    return _is_picture(file.name, file.content.read(12))


def _is_picture(name: str, data: bytes) -> bool:
    return data.startswith(_PICTURES) or name.lower().endswith(_PICTURE_NAMES)


def _seen(one: Found, source: CalibrationSource) -> SeenValue:
    return SeenValue(one.field, one.value, one.module, one.status, one.read_from, one.doubtful, source)


def _each_once(found: Iterable[SeenValue]) -> Iterator[SeenValue]:
    """Each value once, VINs first, sure ones before others; no doubtful VIN that is a slip of a sure one."""
    surest = sorted(
        found, key=lambda one: (one.field is not Seen.VIN, one.field is Seen.VIN and bool(one.doubtful))
    )
    vins = [one.value for one in surest if one.field is Seen.VIN and not one.doubtful]
    known: set[tuple[Seen, str, str, str]] = set()
    for one in surest:
        key = (one.field, one.value, one.module, one.status)
        slip = (
            one.field is Seen.VIN
            and one.doubtful
            and any(_slips(one.value, vin) <= _MOST_SLIPS for vin in vins)
        )
        if key not in known and not slip:
            known.add(key)
            yield one


def _slips(one: str, other: str) -> int:
    return sum(a != b for a, b in zip(one, other, strict=True))
