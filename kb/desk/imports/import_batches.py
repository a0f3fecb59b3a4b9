"""The items of a file in batches, each of which is one transaction."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from kb.intake.history.history_row import HistoryRow
from kb.intake.rows import ParsedNote, ReadSummary, RowError

Item = ParsedNote | HistoryRow | RowError | ReadSummary


@dataclass(slots=True)
class Batch:
    """What is taken together: notes or history rows, the errors between them, and at the end the summary."""

    notes: list[ParsedNote] = field(default_factory=list)
    rows: list[HistoryRow] = field(default_factory=list)
    errors: list[RowError] = field(default_factory=list)
    summary: ReadSummary | None = None

    @property
    def size(self) -> int:
        return len(self.notes) + len(self.rows)


def batches(items: Iterable[Item], size: int, skip: int = 0) -> Iterator[Batch]:
    """Batches of `size` items, the last one with the summary, after leaving out the first `skip` items.

    What was skipped was taken before together with the errors up to it, so those are left out too. A note
    whose identity stands earlier in the file is an error: the first one counts.
    """
    seen: set[str] = set()
    batch, met, repeated = Batch(), 0, 0
    for item in items:
        if isinstance(item, ParsedNote) and item.draft.identity in seen:
            repeated += 1
            item = _repeated(item)
        if isinstance(item, RowError):
            batch.errors.append(item)
            continue
        if isinstance(item, ReadSummary):
            batch.summary = replace(item, errors=item.errors + repeated)
            continue
        met += 1
        _put(batch, item, seen)
        if met <= skip:
            batch = Batch()
        elif batch.size == size:
            yield batch
            batch = Batch()
    yield batch


def _put(batch: Batch, item: ParsedNote | HistoryRow, seen: set[str]) -> None:
    if isinstance(item, ParsedNote):
        seen.add(item.draft.identity)
        batch.notes.append(item)
    else:
        batch.rows.append(item)


def _repeated(item: ParsedNote) -> RowError:
    return RowError(
        item.line, "", f'"{item.draft.title}" stands earlier in this file; this one was left out.'
    )
