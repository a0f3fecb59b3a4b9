"""One value that was read of a photo, a file or a text, as a form carries it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from kb.desk.bay.seen.reading_scans import SeenValue
from kb.nouns.bay.read_proposals import ReadProposal
from kb.nouns.concerns import CodeStatus
from kb.nouns.read_values import ReadKind, ReadValue
from kb.nouns.vehicles import CalibrationSource

_CALLED = {
    "vin": "VIN",
    "code": "Trouble code",
    "calibration_id": "Calibration ID",
    "cvn": "CVN",
    "hardware_number": "Hardware number",
    "software_number": "Software number",
    "newest_id": "Newest ID offered",
    "odometer": "Odometer",
    "voltage": "Voltage",
}


@dataclass(frozen=True, slots=True)
class SeenRow(ReadProposal):
    """One proposal as the form carries it. `photo` is the kept one that it was read in, 0 for none, and `box`
    where: left, top, right and bottom as shares of it.
    """

    read_from: str = ""
    source: str = CalibrationSource.READ.value
    photo: int = 0
    box: tuple[float, ...] = ()

    @property
    def called(self) -> str:
        return _CALLED[self.field]

    @property
    def kept_as_read(self) -> bool:
        """Whether it is kept with the concern as it is, since no field of the form takes it."""
        return self.of_a_module or self.is_newest or self.field == "voltage"

    @property
    def letters(self) -> tuple[tuple[str, bool], ...]:
        """Each letter of the value, and whether it is in doubt."""
        return tuple((letter, n in self.doubtful) for n, letter in enumerate(self.value, start=1))

    @property
    def code_status(self) -> CodeStatus:
        return CodeStatus(self.status) if self.status in set(CodeStatus) else CodeStatus.NOT_SAID

    @property
    def as_read(self) -> ReadValue:
        """The value as it is kept with a concern."""
        kind, source = ReadKind(self.field), CalibrationSource(self.source)
        return ReadValue(kind, self.value, self.module, source=source)

    def cut_of(self, width: int, height: int) -> str:
        """Where it stands in the photo of so many pixels, as x, y, width and height in a row."""
        left, top, right, bottom = self.box
        cut = (left * width, top * height, (right - left) * width, (bottom - top) * height)
        return " ".join(f"{one:.0f}" for one in cut)

    @property
    def carried(self) -> str:
        return json.dumps(asdict(self))


def row_of_text(text: str) -> SeenRow | None:
    """A row off a form, or None for what our own page never wrote."""
    try:
        told = json.loads(text)
        doubtful, box = tuple(map(int, told.get("doubtful", ()))), tuple(map(float, told.get("box", ())))
        row = SeenRow(**{**told, "doubtful": doubtful, "box": box, "photo": int(told.get("photo", 0))})
        CalibrationSource(row.source)
    except (ValueError, TypeError, AttributeError):
        return None
    texts = (row.field, row.value, row.module, row.status, row.read_from)
    fits = all(isinstance(one, str) and len(one) <= 200 for one in texts) and row.field in _CALLED
    stands = not box or (len(box) == 4 and 0 <= box[0] < box[2] <= 1 and 0 <= box[1] < box[3] <= 1)
    return row if fits and stands else None


def row_of_value(one: SeenValue, photo: int) -> SeenRow:
    """A proposal, and the kept photo that it was read in (0 for none)."""
    return SeenRow(
        one.field.value,
        one.value,
        one.module,
        one.status,
        one.doubtful,
        one.read_from[:200],
        one.source.value,
        photo,
        one.box or (),
    )
