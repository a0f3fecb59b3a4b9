"""The text of a bulletin, recall or service communication, read into proposals for a note.

Pure: text in, proposals out, every one with the words that it was read from. Nothing is made up: what the
text does not say is not proposed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from kb.errors import BadInput
from kb.intake.text.codes_said import codes_in_paper
from kb.intake.text.conditions import conditions_in
from kb.intake.text.days import days_in
from kb.intake.text.doing import against_in, exact_entries_in, precautions_in, relearns_in
from kb.intake.text.numbers import numbers_in
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.lines import squeezed
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.published import published_in
from kb.intake.text.software import software_in
from kb.intake.text.symptoms import symptoms_in
from kb.intake.text.titles import titles_in
from kb.intake.text.vehicle.built import built_in, engines_in
from kb.intake.text.vehicle.names import Named
from kb.intake.text.vehicle.vehicle_names import names_in
from kb.intake.text.vehicle.vehicles import VehicleRead, vehicles_in
from kb.intake.text.vehicle.years import years_in
from kb.intake.text.windows import windows_in
from kb.vehicle.called import Names
from kb.vehicle.families import fold

MOST_LETTERS = 250_000
"""A bulletin of forty pages has some 100,000 letters."""
Placed = TypeVar("Placed", Proposal, VehicleRead)
_ORDER = {field: number for number, field in enumerate(Field)}
_IDS = (Field.OLD_ID, Field.NEW_ID, Field.EXACT_ENTRY)
_READERS = (
    codes_in_paper,
    symptoms_in,
    conditions_in,
    precautions_in,
    relearns_in,
    windows_in,
)
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1b\x7f]")


def refuse_unreadable(text: str) -> None:
    """BadInput for a text that is empty, too long, or the bytes of a file that is no text."""
    said = ""
    if not text.strip():
        said = "There is no text. Paste the bulletin's text, or choose its file."
    elif len(text) > MOST_LETTERS:
        said = (
            f"This text has {len(text):,} characters; at most {MOST_LETTERS:,} are read. "
            "Paste the bulletin alone."
        )
    elif len(_CONTROL.findall(text[:20_000])) * 50 > len(text[:20_000]) or "\x00" in text:
        said = "This is not text but the inside of a file. Open the file, copy its text and paste that."
    if said:
        raise BadInput(said, fields={"text": said})


@dataclass(frozen=True, slots=True)
class PaperRead:
    """What a text proposes, by field and place, and the vehicles put together from it."""

    proposals: tuple[Proposal, ...]
    vehicles: tuple[VehicleRead, ...]


def read_text(text: str, names: Names) -> PaperRead:
    """What a text proposes for a note. Raises BadInput as above.

    `names` are the makes and models that are known.
    """
    refuse_unreadable(text)
    short, places = squeezed(text)
    read = _read(Paper(short), names)
    return PaperRead(
        tuple(_in_text(one, places) for one in read.proposals),
        tuple(_in_text(one, places) for one in read.vehicles),
    )


def _in_text(one: Placed, places: Sequence[int]) -> Placed:
    """The same with its place in the text as it came."""
    return replace(one, begins=places[one.begins], ends=places[one.ends - 1] + 1)


def _read(paper: Paper, names: Names) -> PaperRead:
    days, against = days_in(paper.flat), list(against_in(paper))
    named = [one for one in names_in(paper, names) if not _inside(one.begins, against)]
    years = [one for one in years_in(paper, named, days) if not _inside(one.begins, against)]
    engines = [one for one in engines_in(paper, named) if not _inside(one.begins, against)]
    narrowed = [*engines, *built_in(paper, days)]
    exact = list(exact_entries_in(paper))
    software = list(software_in(paper))
    ids = [(one.begins, one.ends) for one in (*exact, *software) if one.field in _IDS]
    ids += [(one.begins, one.ends) for one in named]
    numbers = list(numbers_in(paper, ids))
    own = [one for one in numbers if one.field is Field.NUMBER]
    found = [
        *(
            *exact,
            *software,
            *numbers,
            *titles_in(paper, own, named),
            *published_in(paper, days),
            *against,
            *narrowed,
        ),
        *(_of_vehicle(one) for one in named),
        *(Proposal(Field.YEAR, str(year), one.begins, one.ends) for one in years for year in one.years),
        *(one for read in _READERS for one in read(paper)),
    ]
    found = list(_outside_title(found))
    found.sort(key=lambda one: (_ORDER[one.field], one.step, one.begins))
    vehicles = vehicles_in(paper, named, years, narrowed, names)
    return PaperRead(tuple(_each_once(found)), vehicles)


def _outside_title(found: Sequence[Proposal]) -> Iterator[Proposal]:
    """Without what the title tells of a concern, where the text under it tells it too."""
    titles = [one for one in found if one.field is Field.TITLE]
    told = {one.field for one in found if not _inside(one.begins, titles)}
    for one in found:
        of_concern = one.field in (Field.SYMPTOM, Field.CONDITION)
        if not (of_concern and one.field in told and _inside(one.begins, titles)):
            yield one


def _inside(place: int, against: Iterable[Proposal]) -> bool:
    """Whether a place is told where the paper says for what it is not."""
    return any(one.begins <= place < one.ends for one in against)


def _of_vehicle(one: Named) -> Proposal:
    return Proposal(Field.MODEL if one.is_model else Field.MAKE, one.name, one.begins, one.ends)


def _each_once(found: Iterable[Proposal]) -> Iterator[Proposal]:
    """Each value of a field once, where it is said first; an ID once in each step."""
    seen: set[tuple[Field, str, int, str]] = set()
    for one in found:
        key = (
            one.field,
            fold(one.value),
            one.step if one.field in (Field.OLD_ID, Field.NEW_ID) else 0,
            one.kind,
        )
        if key not in seen:
            seen.add(key)
            yield one
