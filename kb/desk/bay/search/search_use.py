"""What people search for and what they open from it, kept so that a lead can learn from it.

Nothing of it changes an order by itself. A person who asks the same twice on one day counts once. Phone
numbers, addresses and VINs are never written down.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence

from kb.desk.bay.search.search import KINDS, NOTE_KINDS, SearchView
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.notes import Grade
from kb.records.store.bay import search_use as store
from kb.records.store.rows import save
from kb.records.tables import SearchLog
from kb.vehicle.vin_in_text import VIN_SHAPED
from kb.words.normalise import words

LONGEST = 300
"""Letters of a search that are kept."""
_READ = 1_000

_APART = r"[\s().\-\u2010-\u2015\u2022_/]*"
_PERSONAL = re.compile(
    r"\S+@\S+"  # an address of electronic mail
    rf"|{VIN_SHAPED}"
    r"|(?<!\d)(?:"  # a phone number: seven digits or more; ten right behind a lone letter ("P0301 2019")
    rf"(?<!\b[A-Za-z])\+?\(?\d(?:{_APART}\d){{6,}}|\d(?:{_APART}\d){{9,}})(?!\d)"
)


@anyone_in_the_shop
def record_search(desk: Desk, text: str, found: int, best: str) -> None:
    """Keep a search that somebody sent off: how many notes it found, and the best grade among them."""
    row = _row_for(desk, text)
    if row is not None:
        row.found, row.best = found, best
        desk.session.flush()


@anyone_in_the_shop
def record_opened(desk: Desk, kind: str, result_id: int, text: str) -> None:
    """Keep which result was opened from these words, sent off or only typed; the last one opened counts."""
    row = _row_for(desk, text)
    if row is not None:
        _open(desk, row, kind, result_id)
        row.found = max(row.found, kind in NOTE_KINDS)


@anyone_in_the_shop
def record_opened_from_concern(desk: Desk, kind: str, result_id: int, concern_id: int) -> None:
    """Keep which match of a concern was opened, as long as its answer is not known."""
    row = store.of_open_concern(desk.session, desk.shop.id, concern_id)
    if row is not None:
        _open(desk, row, kind, result_id)


@anyone_in_the_shop
def record_concern(desk: Desk, concern_id: int, complaint: str, seen: Sequence[Grade]) -> None:
    """Keep the words by which a concern was opened, with what they found for its vehicle."""
    said = without_personal(complaint)
    if words(said):
        mark = f"concern {concern_id}"
        row = _row(desk, mark, said, found=len(seen), best=best_of(seen), concern_id=concern_id)
        save(desk.session, row)


def notes_among(view: SearchView) -> tuple[int, str]:
    """How many notes an answer holds, and the best grade among them (empty: none)."""
    grades = [result.grade for result in view.results if result.kind in NOTE_KINDS]
    return len(grades), best_of(grades)


def best_of(grades: Sequence[Grade]) -> str:
    """The best of some grades as a word; empty where there is none."""
    return min(grades, key=list(Grade).index).value if grades else ""


def without_personal(text: str) -> str:
    """A text as it is kept: on one line, not too long, without phone numbers, addresses and VINs."""
    return " ".join(_PERSONAL.sub(" ", text[:_READ].replace("\x00", " ")).split())[:LONGEST]


def _row_for(desk: Desk, text: str) -> SearchLog | None:
    """The row of this person, day and words, made if need be; None where nothing was said."""
    said = without_personal(text)
    heard = words(said)
    if not heard:
        return None
    secret = f"{desk.actor.user_id} {desk.today.isoformat()} {' '.join(heard)}"
    mark = hashlib.sha256(secret.encode()).hexdigest()[:32]
    held = store.by_mark(desk.session, desk.shop.id, mark)
    return held or save(desk.session, _row(desk, mark, said))


def _row(
    desk: Desk, mark: str, said: str, *, found: int = 0, best: str = "", concern_id: int | None = None
) -> SearchLog:
    return SearchLog(
        shop_id=desk.shop.id,
        at=desk.now,
        mark=mark,
        text=said,
        found=found,
        best=best,
        concern_id=concern_id,
    )


def _open(desk: Desk, row: SearchLog, kind: str, result_id: int) -> None:
    if kind not in KINDS:
        raise BadInput(f"{kind!r} is none of: {', '.join(KINDS)}.", fields={"kind": "unknown"})
    row.opened_kind, row.opened_id = kind, result_id
    desk.session.flush()
