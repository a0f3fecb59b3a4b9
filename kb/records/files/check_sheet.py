"""The check sheet of a copy: `FILE.check` says what `FILE` must hold, to the bit."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from kb.errors import Unreadable
from kb.nouns.shop.program import program_version
from kb.records.files.database_contents import Contents
from kb.records.files.whole_files import sha256_on_disk

_FORMAT = 1


@dataclass(frozen=True, slots=True)
class CheckSheet:
    """Checksum and size (bytes) of the file, what it holds, the program and moment (UTC) of its making."""

    sha256: str
    size: int
    holds: Contents
    program: str
    made_at: datetime


def sheet_of(copy: Path) -> Path:
    """Where the sheet of that copy lies."""
    return copy.with_name(f"{copy.name}.check")


def written_for(copy: Path, holds: Contents, made_at: datetime) -> CheckSheet:
    return CheckSheet(sha256_on_disk(copy), copy.stat().st_size, holds, program_version(), made_at)


def as_text(sheet: CheckSheet) -> str:
    """JSON, sealed by a checksum of its own: a sheet with a flipped bit must not speak for its copy."""
    said = {
        "beforeflash_backup": _FORMAT,
        "sha256": sheet.sha256,
        "bytes": sheet.size,
        **asdict(sheet.holds),
        "program": sheet.program,
        "made_at": sheet.made_at.isoformat(),
    }
    seal = hashlib.sha256(json.dumps(said).encode()).hexdigest()
    return json.dumps(said | {"seal": seal}, indent=1) + "\n"


def read(file: Path) -> CheckSheet:
    """Raises Unreadable unless the text is, letter for letter, what `as_text` makes of what it says."""
    try:
        text = file.read_text("utf-8")
        said = json.loads(text)
        holds = Contents(said["shop"], said["is_demo"], said["schema"], said["tables"])
        made_at = datetime.fromisoformat(said["made_at"])
        sheet = CheckSheet(said["sha256"], said["bytes"], holds, said["program"], made_at)
        if text == as_text(sheet):
            return sheet
    except (ValueError, TypeError, KeyError, AttributeError):
        pass
    raise Unreadable(f"{file} is damaged, so nobody can tell whether its copy is whole. Use another copy.")


def refuse_mismatch(copy: Path, sheet: CheckSheet, called: Path) -> None:
    """Raise Unreadable unless `copy` is bit for bit what the sheet says; people know it as `called`."""
    size = copy.stat().st_size
    if size != sheet.size:
        raise Unreadable(
            f"{called} has {size:,} bytes where {sheet_of(called).name} says {sheet.size:,}. Use another one."
        )
    if sha256_on_disk(copy) != sheet.sha256:
        raise Unreadable(
            f"{called} is not what {sheet_of(called).name} says (its checksum). Use another copy."
        )
