"""Proposals of a pasted bulletin as rows to accept, change or drop, and rows as a note's form."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kb.desk.notes.reading_papers import PaperProposals, Proposed
from kb.nouns.notes import CodeKind, NoteDocument, NoteDraft, NoteState
from web import note_form
from web.forms import TypedForm

GROUPS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "What it is": (
        ("number", "Number"),
        ("title", "Title"),
        ("published_on", "Published on"),
        ("replaces", "Replaces"),
    ),
    "Vehicles": (("coverage", "Vehicle"),),
    "The remedy": (
        ("remedy", "The remedy"),
        ("remedy_module", "Module"),
        ("steps", "Calibration step"),
    ),
    "The concern": (
        ("symptom", "Symptom"),
        ("conditions", "Condition"),
        ("codes", "Trouble code"),
        ("against_says", "Software is not the cure when"),
    ),
    "The work": (
        ("precautions", "Precaution"),
        ("relearns", "Relearn or work after"),
        ("exact_entries", "Typed exactly"),
    ),
}
"""The fields of a note that a paper may fill, as its form names them, and what one entry is called."""
_FIELD_OF = {
    "number": "number",
    "title": "title",
    "published_on": "published_on",
    "replaces": "replaces",
    "remedy": "remedy",
    "code": "codes",
    "symptom": "symptom",
    "condition": "conditions",
    "speaks_against": "against_says",
    "precaution": "precautions",
    "window": "precautions",
    "relearn": "relearns",
    "exact_entry": "exact_entries",
}
_PRINTED = frozenset(
    (
        "number",
        "title",
        "published_on",
        "replaces",
        "coverage",
        "remedy_module",
        "steps",
        "codes",
        "exact_entries",
    )
)
"""What is printed word for word is ticked to begin with; sentences, and what they mean, wait for a person."""
_IN_ORDER = tuple(field for fields in GROUPS.values() for field, _ in fields)
_ASKED = frozenset(_IN_ORDER) - {"replaces"}
_ONE_VALUE = ("title", "published_on", "remedy", "remedy_module")
_LINES = ("coverage", "steps", "symptom", "conditions", "precautions", "relearns", "exact_entries")
_LINES_KEPT = ("coverage", "steps", "exact_entries")
"""Where a further line that somebody types is a further entry."""
_KIND_FIELDS = {kind.value: name for name, kind in note_form.CODE_FIELDS}
MOST_ROWS = 300
"""A page holds so many: what proposes more is a pile of bulletins."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value for a field of the note's form, as it was read (`was`) and as it stands, and whether it is
    taken. A row that was not read asks for what the text does not say.
    """

    field: str
    value: str = ""
    was: str = ""
    read_from: str = ""
    kind: str = ""
    taken: bool = False

    @property
    def counts(self) -> bool:
        """Whether it goes into the note: it is ticked, or somebody changed or typed it."""
        return bool(self.value.strip()) and (self.taken or self.value.strip() != self.was.strip())

    @property
    def is_quoted(self) -> bool:
        """Whether the value as read is the words of the text themselves, which need not be said twice."""
        return _bare(self.was) == _bare(self.read_from)


def rows_of(read: PaperProposals) -> tuple[Row, ...]:
    """Every proposal as a row, and one empty row for each field that the text does not say, in the order of
    the page: what is ticked is told by a row's place in it.
    """
    found = [*_vehicles(read), *_steps(read.proposals), *_others(read.proposals)]
    fields = {row.field for row in found}
    missing = _ASKED - fields - ({"remedy_module"} if "steps" in fields else set())
    everything = (*found, *(Row(field) for field in missing))
    return tuple(sorted(everything[:MOST_ROWS], key=lambda row: _IN_ORDER.index(row.field)))


def posted_rows(typed: TypedForm) -> tuple[Row, ...]:
    """The rows as they were sent back."""
    columns = (typed.values.get(f"row_{name}", ()) for name in ("field", "value", "was", "from", "kind"))
    taken = set(typed.values.get("take", ()))
    return tuple(
        Row(field, value, was, read_from, kind, str(number) in taken)
        for number, (field, value, was, read_from, kind) in enumerate(zip(*columns, strict=False))
        if field in _IN_ORDER
    )


def draft_of(rows: Sequence[Row], text: str, file_name: str) -> NoteDraft:
    """The rows that count as a draft of a bulletin, with the whole text beside it; read as the form is."""
    said: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        if row.counts:
            said[row.field].append(row)
    draft = note_form.draft(TypedForm({name: tuple(values) for name, values in _as_form(said)}))
    return replace(
        draft,
        state=NoteState.DRAFT,
        replaces=tuple(row.value.strip() for row in said["replaces"]),
        documents=(NoteDocument(file_name or "pasted text", text.replace("\r\n", "\n")),),
    )


def _vehicles(read: PaperProposals) -> Iterator[Row]:
    for one in read.vehicles:
        [line] = note_form.coverage_lines((one.line,))
        yield Row("coverage", line, line, one.read_from, taken=bool(one.line.make))


def _steps(proposals: Iterable[Proposed]) -> Iterator[Row]:
    """IDs of one step as the line that the form reads: "TCM: 0447B, 0447C -> 0447D"."""
    steps: dict[int, dict[str, list[Proposed]]] = defaultdict(lambda: defaultdict(list))
    modules = {one.step: one.value for one in proposals if one.field == "module"}
    for one in proposals:
        if one.field in ("old_id", "new_id"):
            steps[one.step][one.field].append(one)
    for number, ids in sorted(steps.items()):
        old, new = (ids[name] for name in ("old_id", "new_id"))
        module = modules.get(number) or next(iter(modules.values()), "")
        line = f"{module}: {', '.join(one.value for one in old)} -> {new[0].value if new else ''}"
        read_from = " … ".join(one.read_from for one in (*old, *new))
        printed = all(one.value == one.read_from for one in (*old, *new))
        yield Row("steps", line, line, read_from, taken=bool(module and new and printed))


def _others(proposals: Sequence[Proposed]) -> Iterator[Row]:
    has_steps = any(one.field == "new_id" for one in proposals)
    precautions = [one.read_from for one in proposals if one.field == "precaution"]
    numbered = False
    for one in proposals:
        field = _FIELD_OF.get(one.field, "")
        if one.field == "module" and not has_steps:
            field = "remedy_module"
        inside = one.field == "window" and any(one.read_from in said for said in precautions)
        if field and not inside:
            taken = field in _PRINTED and not (field == "number" and numbered)
            numbered = numbered or field == "number"
            yield Row(field, one.value, one.value, one.read_from, one.kind, taken)


def _as_form(said: Mapping[str, Sequence[Row]]) -> Iterator[tuple[str, list[str]]]:
    """Fields of the note's form and their values."""
    yield "kind", ["bulletin"]
    numbers = [row.value.strip() for row in said.get("number", ())]
    yield "number", numbers[:1]
    yield "body", [f"Also numbered {', '.join(numbers[1:])}."] if numbers[1:] else []
    for name in _ONE_VALUE:
        yield name, [row.value.strip() for row in said.get(name, ())][:1]
    for name in _LINES:
        yield name, ["\n".join(_one_line(name, row) for row in said.get(name, ()))]
    yield "against_says", [row.value for row in said.get("against_says", ())]
    for kind, name in _KIND_FIELDS.items():
        of_kind = (
            row.value for row in said.get("codes", ()) if (row.kind or CodeKind.DEFINING.value) == kind
        )
        yield name, [" ".join(of_kind)]


def _bare(said: str) -> str:
    return " ".join(said.split()).strip(" .")


def _one_line(name: str, row: Row) -> str:
    return row.value if name in _LINES_KEPT else " ".join(row.value.split())
