"""Reading the correction texts of a history for reflashes, and showing alike ones together."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import from_content
from kb.desk.imports.import_jobs import job_row, put_summary
from kb.desk.imports.import_told import TEXTS_TOLD
from kb.errors import NotFound
from kb.intake.history.corrections.from_text import RowRead, as_reflashed, read_row_text
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import RoadTest
from kb.nouns.history.corrections import JobTold, Kind
from kb.nouns.history.reflashes_read import OPEN, AlikeTexts, ReadState, ReflashesRead, TextRead
from kb.nouns.vehicles import Vehicle, fold_id
from kb.records.store.imports import history as history_store
from kb.records.store.imports import imports as import_store
from kb.records.store.imports import reflashes_read as store
from kb.records.store.imports.reflashes_read import Brief, WithRow
from kb.records.tables import ReflashRead

EXAMPLES = 3
NOT_READ = "not-read"
"""What the texts are put together under that speak of programming and were not read."""


@lead_or_owner
def read_texts(desk: Desk, import_id: int, rows: Iterable[HistoryRow]) -> None:
    """Keep what the texts of rows just taken tell of reflashes, for somebody to look at.

    Nothing is asked twice: not of a row whose reflash was counted, nor of a text that was left out.
    """
    silent = {import_store.identity_hash(row.identity): row for row in rows if row.is_told_by_text_alone}
    known = store.answered(desk.session, desk.shop.id, silent)
    counted = {one.identity_hash for one in known if one.state == ReadState.TAKEN}
    left = {(one.identity_hash, one.text) for one in known}
    asked = {
        key: row for key, row in silent.items() if key not in counted and (key, row.work_done) not in left
    }
    places = store.rows_taken(desk.session, import_id, asked)
    told: Counter[str] = Counter()
    new: list[dict[str, Any]] = []
    for key, row in asked.items():
        read = read_row_text(row)
        of_row, concern = places[key]
        base: dict[str, Any] = {"shop_id": desk.shop.id, "import_id": import_id, "history_row_id": of_row}
        base |= {"concern_id": concern, "identity_hash": key, "text": row.work_done}
        new += [base | said for said in _said(row, read)]
        if read.other not in (None, Kind.UNSURE):
            told[str(read.other)] += 1
    store.add(desk.session, new)
    _count(desk, import_id, new, told)


def _count(desk: Desk, import_id: int, new: Sequence[Mapping[str, Any]], told: Counter[str]) -> None:
    if not new and not told:
        return
    row = job_row(desk, import_id)
    before = Counter(row.summary.get(TEXTS_TOLD, {}))
    states = Counter(str(one["state"]) for one in new)
    put_summary(row, desk, **{TEXTS_TOLD: dict(before + told + states)})


def _said(row: HistoryRow, read: RowRead) -> Iterable[dict[str, Any]]:
    day = row.worked_on or row.opened_on
    more: dict[str, Any] = {"other_work": list(read.other_work), "done_on": day, "taken_row_id": None}
    more |= {"decided_by": "", "decided_at": None}
    if read.other is Kind.UNSURE:
        said = _as_read(JobTold(Kind.UNSURE, marks=read.marks), row.gone_at_road_test)
        yield more | said | {"alike": NOT_READ, "state": ReadState.NOT_READ.value}
    for job in read.reflashes:
        said = _as_read(job, row.gone_at_road_test or job.road_test)
        yield more | said | {"alike": alike_of(said), "state": ReadState.PROPOSED.value}


def _as_read(job: JobTold, road_test: RoadTest | None) -> dict[str, Any]:
    return {
        "wording": job.wording,
        "marks": [list(one) for one in job.marks],
        "update": job.update,
        "module": job.module,
        "calibration_before": ", ".join(job.old_ids),
        "calibration_after": job.new_id,
        "road_test": road_test.value if road_test else "",
    }


def alike_of(said: Mapping[str, Any]) -> str:
    """Texts are alike that tell of the same update, module and outcome in the same words."""
    parts = (fold_id(said["update"]), fold_id(said["module"]), said["road_test"], said["wording"])
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:12]


@lead_or_owner
def as_taken(desk: Desk, rows: Sequence[tuple[int, HistoryRow]]) -> list[HistoryRow]:
    """The reflashes that were counted from the texts of these rows, as their rows say it now."""
    by_hash = {import_store.identity_hash(row.identity): row for _, row in rows}
    taken = store.answered(desk.session, desk.shop.id, by_hash)
    return [
        told_by(one, by_hash[one.identity_hash])
        for one in taken
        if one.taken_row_id is not None and one.done_on is not None
    ]


def told_by(read: ReflashRead, row: HistoryRow) -> HistoryRow:
    """The row of the history that a counted reflash is; it has a day."""
    if read.done_on is None:
        raise ValueError("a reflash without a day cannot be counted")
    return as_reflashed(
        row,
        read.done_on,
        update=read.update,
        module=read.module,
        calibrations=(read.calibration_before, read.calibration_after),
        road_test=RoadTest(read.road_test) if read.road_test else None,
        other_work=tuple(read.other_work),
    )


@lead_or_owner
def reflashes_read(desk: Desk, import_id: int) -> ReflashesRead:
    """What was read of an import's texts, in groups; NotFound if there is no such import."""
    told = job_row(desk, import_id).summary.get(TEXTS_TOLD, {})
    of_group: dict[str, list[Brief]] = defaultdict(list)
    for one in store.briefs(desk.session, import_id):
        of_group[one.alike].append(one)
    shown = [each.id for some in of_group.values() for each in some[:EXAMPLES]]
    texts = store.with_rows(desk.session, shown)
    numbers = {each.update for some in of_group.values() for each in some if each.update}
    known = history_store.notes_by_number(desk.session, desk.shop.id, numbers)
    groups = [_group(some, texts, known) for some in of_group.values()]
    groups.sort(key=lambda one: (-one.open, -one.count, one.alike))
    return ReflashesRead(
        tuple(one for one in groups if one.alike != NOT_READ),
        next((one for one in groups if one.alike == NOT_READ), None),
        {kind: count for kind, count in told.items() if kind not in set(ReadState)},
    )


@lead_or_owner
def group_read(desk: Desk, import_id: int, alike: str) -> AlikeTexts:
    """One group; NotFound where there is none, or none any more."""
    for one in reflashes_read(desk, import_id).every:
        if one.alike == alike:
            return one
    raise NotFound(f"Import {import_id} has no such group of texts.")


@lead_or_owner
def texts_read(
    desk: Desk, import_id: int, alike: str, limit: int = 100, after: int | None = None
) -> tuple[TextRead, ...]:
    """The texts of one group, in the order of the file, from the one after that id."""
    job_row(desk, import_id)
    ids = store.alike_ids(desk.session, import_id, alike, after or 0, limit)
    texts = store.with_rows(desk.session, ids)
    return tuple(_text(texts[one]) for one in ids)


def _group(some: Sequence[Brief], texts: Mapping[int, WithRow], known: Mapping[str, int]) -> AlikeTexts:
    first = some[0]
    states = Counter(one.state for one in some)
    return AlikeTexts(
        first.alike,
        first.wording,
        first.update,
        first.module,
        first.road_test,
        fold_id(first.update) in known,
        sum(states[one.value] for one in OPEN),
        states[ReadState.TAKEN.value],
        states[ReadState.NOT_TAKEN.value],
        sum(not one.has_day for one in some if one.state in OPEN),
        tuple(_text(texts[one.id]) for one in some[:EXAMPLES]),
    )


def _text(one: WithRow) -> TextRead:
    row, read = from_content(one.content), one.read
    vehicle = Vehicle(row.make, row.model, row.year, row.engine, vin=row.vin)
    return TextRead(
        read.id or 0,
        row.ro_number + (f"-{row.line}" if row.line else ""),
        " ".join(str(part) for part in (vehicle.year, vehicle.make, vehicle.model) if part),
        row.complaint,
        read.text,
        tuple((begin, end) for begin, end in read.marks),
        read.update,
        read.module,
        read.road_test,
        read.calibration_before,
        read.calibration_after,
        tuple(read.other_work),
        read.done_on,
        ReadState(read.state),
    )
