"""The file of an export: a first line about it, a line a row, a last line that says it is all."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sqlmodel import Session

from kb.errors import Unreadable
from kb.records.migrate import known_schemas
from kb.records.whole_shop.highest_ids import highest_ids
from kb.records.whole_shop.rows_out import every_row
from kb.records.whole_shop.sealed_lines import AGAIN, Line, unsealed

FORMAT = 2
_KEY = "beforeflash_export"


@dataclass(frozen=True, slots=True)
class ExportContents:
    """What a whole file holds: `schema` is the state of its tables, `tables` counts the rows of each."""

    shop: str
    schema: str
    highest_ids: Mapping[str, int]
    tables: Mapping[str, int]


def entries(session: Session, shop: str) -> Iterator[dict[str, Any]]:
    """The first entry, then {"table": name, "row": {column: value}} for every row.

    Days and instants are ISO text, money is in the currency's smallest unit.
    """
    ids = highest_ids(session.connection())
    yield {_KEY: FORMAT, "schema": known_schemas()[-1], "shop": shop, "highest_ids": ids}
    for table, row in every_row(session):
        yield {"table": table, "row": row}


def look_through(file: Path) -> ExportContents:
    """Read every line against its seal, and the first one against what this program knows.

    Raises Unreadable in a sentence that says what to do; OSError where there is no such file.
    """
    _refuse_what_is_no_export(file)
    with file.open("rb") as stream:
        lines = unsealed(stream, file.name)
        first = next(lines)[1]
        if first["schema"] not in known_schemas():
            raise Unreadable(
                f"{file.name} was made by a newer version of Beforeflash: it needs one that knows the tables "
                f"{first['schema']}, and this one knows them up to {known_schemas()[-1]}. Install it first."
            )
        tables = Counter(entry["table"] for _, entry in lines)
    return ExportContents(first["shop"], first["schema"], first["highest_ids"], tables)


def rows_of(file: Path) -> Iterator[Line]:
    """(line number, entry) of each row; raises as `look_through` where the file changed meanwhile."""
    with file.open("rb") as stream:
        yield from islice(unsealed(stream, file.name), 1, None)


def _refuse_what_is_no_export(file: Path) -> None:
    with file.open("rb") as stream:
        start = stream.readline(1 << 20)
    try:
        said = json.loads(start)
        number = said[_KEY]
    except (ValueError, TypeError, KeyError):
        raise Unreadable(
            f"{file.name} is no export of a shop. Name a file that `beforeflash export FILE` wrote."
        ) from None
    if number != FORMAT:
        when = "an older" if number == 1 else "a newer"
        raise Unreadable(
            f"{file.name} was made by {when} version of Beforeflash, in a form that this one cannot take "
            f"back. {AGAIN}"
        )
