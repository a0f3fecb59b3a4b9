"""Reading it from what is there: photos of labels and screens, PDFs and texts, into values to accept.

Nothing is saved and nothing of the shop is looked at, so no desk is asked for: no transaction stays open
while photos wait for their turn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import BinaryIO

from PIL.Image import Image

from kb.errors import BadInput, Unreadable
from kb.intake.scan import letters, pictures
from kb.intake.scan.found import Found, Seen, each_once
from kb.intake.scan.kept_photos import PhotoToKeep, to_keep_and_read
from kb.intake.scan.letters import Box
from kb.intake.scan.look_alikes import places_apart
from kb.intake.scan.reading import read_scan
from kb.intake.text.files import text_of_file
from kb.nouns.vehicles import CalibrationSource, fold_id

MOST_FILES = 10
MOST_BYTES = 20 << 20
_PICTURES = (b"\xff\xd8\xff", b"\x89PNG", b"RIFF", b"GIF8", b"BM", b"II*\x00", b"MM\x00*")
_PICTURE_NAMES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".gif", ".bmp", ".tif", ".tiff")
_LETTERS_MISSING = (
    "Only bar codes and 2-D codes are read from photos here: type or paste the rest. Whoever runs "
    "Beforeflash can have letters read too: beforeflash doctor says how."
)
_NOTHING = (
    "Nothing was found. Take the photo closer, straight on and without glare, or paste the text of the "
    "report."
)
_NOTHING_IN_TEXT = (
    "That is no picture, and nothing was found in its text. Choose a photo of the label or screen, or the "
    "text of the report."
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

    `doubtful` are places of the value, from 1, to be compared with the original. `file` is which of the files
    it was read in, from 0, and `box` where in a photo: left, top, right and bottom as shares of it.
    """

    field: Seen
    value: str
    module: str
    status: str
    read_from: str
    doubtful: tuple[int, ...]
    source: CalibrationSource
    file: int | None = None
    box: Box | None = None


@dataclass(frozen=True, slots=True)
class SeenValues:
    """What was read, and what could not be, in a sentence."""

    proposals: tuple[SeenValue, ...]
    message: str = ""


def read_scans(text: str, files: Sequence[SeenFile]) -> SeenValues:
    """What a text and files propose, each value once. BadInput where there is nothing to read or more than
    10 files; Unreadable where no file can be read, with what to do.
    """
    return _read(text, files, lambda _, name, data: pictures.opened(name, data))


def read_and_make_ready(text: str, files: Sequence[SeenFile]) -> tuple[SeenValues, Mapping[int, PhotoToKeep]]:
    """The same, and by place among the files the photos as they will be kept, each decoded once."""
    ready: dict[int, PhotoToKeep] = {}

    def opened(n: int, name: str, data: bytes) -> Image:
        ready[n], gray = to_keep_and_read(name, data)
        return gray

    return _read(text, files, opened), ready


def _read(text: str, files: Sequence[SeenFile], opened: Callable[[int, str, bytes], Image]) -> SeenValues:
    if not text.strip() and not files:
        raise BadInput("Choose a photo or a file, or paste a text.", fields={"file": "nothing to read"})
    if len(files) > MOST_FILES:
        raise BadInput(
            f"At most {MOST_FILES} files are read at a time. Send the others after these.",
            fields={"file": "too many"},
        )
    found = [_seen(one, CalibrationSource.READ) for one in read_scan(text)]
    said: list[str] = []
    for n, one in enumerate(files):
        try:
            with pictures.in_turn():
                found += _read_file(n, one, opened, said)
        except Unreadable as refused:
            if len(files) == 1 and not text.strip():
                raise
            said.append(refused.message)
    if len(said) == len(files) > 0 and not found and _LETTERS_MISSING not in said:
        raise Unreadable(" ".join(dict.fromkeys(said)))
    kept = _each_once(found)
    nothing = _NOTHING if any(map(is_photo, files)) or not files else _NOTHING_IN_TEXT
    return SeenValues(kept, " ".join(dict.fromkeys((*(() if kept else (nothing,)), *said))))


def _read_file(
    n: int, file: SeenFile, opened: Callable[[int, str, bytes], Image], said: list[str]
) -> list[SeenValue]:
    data = bytes_of(file)
    if not _is_picture(file.name, data):
        return [_seen(one, CalibrationSource.READ, n) for one in read_scan(text_of_file(file.name, data))]
    picture = opened(n, file.name or "The file", data)
    return [_seen(one, CalibrationSource.PHOTO, n, box) for one, box in _seen_in(picture, said)]


def _seen_in(picture: Image, said: list[str]) -> list[tuple[Found, Box | None]]:
    """What a photo shows, and where. A label whose code tells its VIN is read by that alone, twenty times as
    fast.
    """
    found = [one for code in pictures.codes_at_once(picture) for one in read_scan(code)]
    if any(one.field is Seen.VIN and not one.doubtful for one in found):
        return [(one, None) for one in found]
    told = letters.letters_in(picture)
    said += filter(None, (what_is_missing(),))
    read = read_scan(told.text, rivals=told.rivals)
    if all(one.field is Seen.VIN and one.doubtful for one in (*found, *read)):
        found += [one for code in pictures.codes_in(picture) for one in read_scan(code)]
    return [*((one, None) for one in found), *((one, told.box_of(one.read_from)) for one in read)]


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


def _seen(
    one: Found, source: CalibrationSource, file: int | None = None, box: Box | None = None
) -> SeenValue:
    said = (one.field, one.value, one.module, one.status, one.read_from, one.doubtful)
    return SeenValue(*said, source, file, box)


def _each_once(found: Iterable[SeenValue]) -> tuple[SeenValue, ...]:
    """Each value once, VINs first, sure ones before others; none in doubt that is a slip of a sure one."""
    once = each_once(found)
    surest = sorted(
        once, key=lambda one: (one.field is not Seen.VIN, one.field is Seen.VIN and bool(one.doubtful))
    )
    sure = [one for one in surest if not one.doubtful]
    return tuple(one for one in surest if not (one.doubtful and any(_is_slip(one, other) for other in sure)))


def _is_slip(one: SeenValue, sure: SeenValue) -> bool:
    """Whether a value in doubt is one that was read beyond doubt, elsewhere: a VIN but for three letters,
    another value of the same module but for its marked ones.
    """
    if one.field is not sure.field or len(one.value) != len(sure.value):
        return False
    off = places_apart(one.value, sure.value)
    if one.field is Seen.VIN:
        return len(off) <= _MOST_SLIPS
    elsewhere = one.file != sure.file and one.status in ("", sure.status)
    same_module = not one.module or not sure.module or fold_id(one.module) == fold_id(sure.module)
    return elsewhere and same_module and set(off) <= set(one.doubtful)
