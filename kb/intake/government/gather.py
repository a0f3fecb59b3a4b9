"""One note of many rows: the files of the government have a row for every document, product and year.

The file is gone through twice: first for the last row of every identity, then for the notes, each given out
at its last row. So only the notes still open are in memory, in whatever order the rows come.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from kb.intake.government.wanted import lacks_software, why_not
from kb.intake.rows import NoteItem, ParsedNote, ReadOptions, ReadSummary, RowError
from kb.intake.source import TextFile
from kb.intake.tables import Row, trim
from kb.nouns.lead.notes_wanted import Beside, NotesWanted, NotWanted
from kb.nouns.model_years import FIRST_YEAR, UNKNOWN_YEAR, newest_model_year, ranges_of
from kb.nouns.notes import NoteDraft
from kb.nouns.vehicles import Coverage, CoverageLine


@dataclass(frozen=True, slots=True)
class Layout:
    """Where a row of one format holds what; -1 where it has no such field."""

    width: int
    key: int
    make: int
    model: int
    year: int
    summary: int
    document: int = -1
    component: int = -1


@dataclass(slots=True)
class Gathering:
    """What the rows of one identity have said so far; `first` is its first good row.

    `texts` maps every distinct text, white space folded, to the documents that carry it, and `printed` to the
    text as it first came.
    """

    line: int
    first: list[str]
    texts: dict[str, list[str]] = field(default_factory=dict)
    printed: dict[str, str] = field(default_factory=dict)
    products: dict[tuple[str, str], set[int]] = field(default_factory=dict)
    components: dict[str, None] = field(default_factory=dict)
    seen: set[tuple[str, ...]] = field(default_factory=set)

    def coverage(self) -> Coverage:
        """A line for each make and model; where no year is known the line asks none."""
        return tuple(CoverageLine(k, m, ranges_of(years)) for (k, m), years in self.products.items())


_WIDTH = "This row has {} fields; {} are needed. Look for a missing quote or TAB."
Rows = Callable[[TextFile], Iterator[Row | RowError]]


@dataclass(frozen=True, slots=True)
class Building:
    """How a format makes a note of its rows, and tells what it is about beside vehicles."""

    note: Callable[[Gathering], NoteDraft]
    beside: Callable[[Gathering], Beside | None]


def gather(
    source: TextFile, rows: Rows, layout: Layout, build: Building, options: ReadOptions, headed: bool = False
) -> Iterator[NoteItem]:
    """Notes of a whole file, row errors between them, the summary last. `headed`: line 1 names columns."""
    last = _last_lines(source, rows, layout)
    header = _first_fields(source, rows) if headed else []
    counted = doubles = taken = errors = 0
    open_notes: dict[str, Gathering] = {}
    left: Counter[NotWanted] = Counter()
    yield from source.warnings
    for row in rows(source):
        if isinstance(row, RowError):
            counted, errors = counted + 1, errors + 1
            yield row
            continue
        line, fields = row[0], trim(row[1], layout.width)
        if fields == header:
            continue
        counted += 1
        trouble = _check(line, fields, layout, newest_model_year(options.today.year))
        if trouble:
            errors += 1
            yield trouble
        else:
            doubles += _add(open_notes, line, fields, layout)
        key = fields[layout.key] if len(fields) == layout.width else ""
        if last.get(key) == line and key in open_notes:
            note = _wanted_note(open_notes.pop(key), build, options.wanted, left)
            if note is not None:
                taken += 1
                yield note
    yield ReadSummary(counted, doubles, taken, errors, len(source.warnings), dict(left))


def _wanted_note(
    rows: Gathering, build: Building, wanted: NotesWanted, left: Counter[NotWanted]
) -> ParsedNote | None:
    """The note, or None and one more in what was left out."""
    why = why_not(wanted, (make for make, _ in rows.products), build.beside(rows))
    draft = None if why else build.note(rows)
    if draft is not None and lacks_software(wanted, draft.remedy):
        why, draft = NotWanted.NO_SOFTWARE, None
    if why is not None:
        left[why] += 1
    return None if draft is None else ParsedNote(rows.line, draft)


def _first_fields(source: TextFile, rows: Rows) -> list[str]:
    first = next(rows(source), None)
    return [] if first is None or isinstance(first, RowError) else first[1]


def _last_lines(source: TextFile, rows: Rows, layout: Layout) -> dict[str, int]:
    last: dict[str, int] = {}
    for row in rows(source):
        if not isinstance(row, RowError):
            fields = trim(row[1], layout.width)
            if len(fields) == layout.width:
                last[fields[layout.key]] = row[0]
    return last


def _check(line: int, fields: list[str], layout: Layout, newest_year: int) -> RowError | None:
    if len(fields) != layout.width:
        return RowError(line, "", _WIDTH.format(len(fields), layout.width))
    if not fields[layout.key].strip():
        return RowError(line, "ID", "This row has no ID, so it belongs to no note.")
    year = fields[layout.year].strip()
    is_known = year.isdecimal() and FIRST_YEAR <= int(year) <= newest_year
    if year and not is_known and year != str(UNKNOWN_YEAR):
        years = f"{FIRST_YEAR} to {newest_year}"
        return RowError(line, "Model Year", f'"{year}" is no year of {years}; 9999 stands for not known.')
    return None


def _add(open_notes: dict[str, Gathering], line: int, fields: list[str], layout: Layout) -> bool:
    """Put one row into its note; True where the very same row was there before."""
    note = open_notes.get(fields[layout.key])
    if note is None:
        note = open_notes[fields[layout.key]] = Gathering(line, fields)
    row = tuple(fields)
    if row in note.seen:
        return True
    note.seen.add(row)
    text = " ".join(fields[layout.summary].split())
    names = note.texts.setdefault(text, [])
    note.printed.setdefault(text, fields[layout.summary])
    if layout.document >= 0 and fields[layout.document] not in names:
        names.append(fields[layout.document])
    year = fields[layout.year].strip()
    product = (fields[layout.make].strip(), fields[layout.model].strip())
    note.products.setdefault(product, set()).add(int(year) if year else UNKNOWN_YEAR)
    if layout.component >= 0:
        note.components[fields[layout.component].strip()] = None
    return False
