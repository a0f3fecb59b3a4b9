"""What the database holds, asked row by row, to be held against what was told."""

from __future__ import annotations

import tempfile
from collections import Counter
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sqlmodel import col, select

from kb.desk.bay.outcomes import counted
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.desk.shop import out_and_in_again
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, Reflash


def closed(desk: Desk) -> dict[int, bool]:
    rows = desk.session.execute(select(ConcernRow)).scalars()
    return {one.id or 0: one.state == "closed" for one in rows}


def sittings(desk: Desk) -> dict[int, int]:
    """Programming events by concern: each module's result of a sitting is an outcome for its concern."""
    return dict(Counter(desk.session.execute(select(col(Outcome.concern_id))).scalars()))


def installed(desk: Desk) -> dict[int, int]:
    query = select(col(Outcome.concern_id)).where(col(Outcome.installed))
    return dict(Counter(desk.session.execute(query).scalars()))


def heard(desk: Desk) -> list[int]:
    return sorted(one or 0 for one in desk.session.execute(select(col(FollowUpRow.id))).scalars())


def counted_once(desk: Desk) -> bool:
    """Every try (a sitting, an update and a concern) that was recorded by today is counted, and once."""
    query = (
        select(col(Outcome.concern_id), col(Outcome.update_id), col(Reflash.event_id))
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .where(col(Outcome.installed), col(Outcome.reflashed_on) <= desk.today)
    )
    tries = {tuple(one) for one in desk.session.execute(query)}
    return int(counted.count(desk, desk.today).counts.count.sum()) == len(tries)


def goes_out_and_in(shop: RunningShop, now: datetime) -> None:
    """The export, brought into an empty database and taken out again, is the same byte for byte."""
    with tempfile.TemporaryDirectory() as made:
        first, again = Path(made) / "first.jsonl", Path(made) / "again.jsonl"
        with shop.reading(CONSOLE) as desk:
            out_and_in_again.export_to_file(desk, first)
        url = f"sqlite:///{Path(made) / 'other' / 'shop.db'}"
        out_and_in_again.bring_in(first, url, now)
        with closing(RunningShop.open(url)) as other, other.reading(CONSOLE) as desk:
            out_and_in_again.export_to_file(desk, again)
        assert again.read_bytes() == first.read_bytes()
