"""What an import left out though nothing was wrong with it, in numbers and words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.intake.rows import ReadSummary
from kb.nouns.lead.notes_wanted import NotWanted


@dataclass(frozen=True, slots=True)
class NotWantedCount:
    """How many notes of the file were left out for one reason, though nothing was wrong with them."""

    why: NotWanted
    notes: int


def counts_of(said: Mapping[str, int]) -> tuple[NotWantedCount, ...]:
    """What a job counted, by reason."""
    return tuple(NotWantedCount(NotWanted(why), count) for why, count in said.items())


def left_out_words(summary: ReadSummary | None) -> str:
    """What a file that was read to its end has left out; empty where nothing, or before that."""
    if summary is None:
        return ""
    return not_wanted_words(counts_of({why.value: n for why, n in summary.not_wanted.items()})).strip()


def not_wanted_words(left: Sequence[NotWantedCount]) -> str:
    """What was left out unread, by reason; empty where all was wanted."""
    told = ", ".join(f"{one.notes:,} {_WHY[one.why]}" for one in left)
    return f" Not wanted: {told}." if told else ""


_WHY = {
    NotWanted.OTHER_MAKES: "of other makes",
    NotWanted.NO_SOFTWARE: "without software in the remedy",
    NotWanted.CHILD_SEATS: "of child seats",
    NotWanted.TIRES: "of tires",
    NotWanted.TRAILERS: "of trailers",
    NotWanted.EQUIPMENT: "of equipment",
}
