"""The options of files of the government, as a program tells them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, ValidationError

from api.schemas.base import In, Word
from kb.errors import BadInput
from kb.nouns.lead.notes_wanted import Beside, NotesWanted


class WantedBody(In):
    """Which notes are kept: of these `makes` (none: all), with a remedy of software only, and what `also`
    beside vehicles.
    """

    makes: Annotated[tuple[Word, ...], Field(max_length=200)] = ()
    software_only: bool = False
    also: frozenset[Beside] = frozenset()


def wanted_told(options: str) -> NotesWanted:
    """What a JSON object says; an empty text is the usual. BadInput for anything else."""
    try:
        return WantedBody.model_validate_json(options or "{}").as_value(NotesWanted)
    except ValidationError as wrong:
        what = wrong.errors()[0]["msg"]
        raise BadInput(
            f"The options are no such JSON object: {what}. Like "
            '{"makes": ["Kia"], "software_only": true, "also": ["tires"]}.',
            fields={"options": "not understood"},
        ) from None
