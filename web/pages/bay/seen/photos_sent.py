"""Photos that came with a form: read and kept, so that what is proposed can be compared with them."""

from __future__ import annotations

from kb.desk.bay.seen import ids_on_file, photos
from kb.desk.bay.seen.reading_scans import is_photo, read_and_make_ready
from kb.desk.context import Desk
from kb.errors import Unreadable
from kb.nouns.bay.photos import Photo, Shows, shown_by
from web.forms import TypedForm
from web.pages.bay.seen import rows as seen_rows
from web.visits import Visit


def read_and_kept(visit: Visit, concern_id: int | None) -> TypedForm:
    """The form with what its files propose; its photos are kept with the concern, or wait for one to be
    opened. Raises as the reading does.
    """
    typed = visit.typed
    told, ready = read_and_make_ready(seen_rows.text_of(typed), seen_rows.files_of(typed))
    with visit.writing() as desk:
        told = ids_on_file.settled_by_file(desk, told)
        kept: dict[int | None, int] = {}
        for n, photo in ready.items():
            shows = shown_by({one.field.value for one in told.proposals if one.file == n})
            kept[n] = photos.keep_photo(desk, concern_id, photo, shows).id
    ids = dict.fromkeys((*typed.all("photo"), *map(str, kept.values())))
    typed = seen_rows.with_read(typed, told, kept)
    return TypedForm({**typed.values, "photo": tuple(ids)})


def keep(visit: Visit, concern_id: int | None, shows: Shows, caption: str = "") -> list[Photo]:
    """Keep the photos among the files of the form; what is no photo is passed over."""
    ready = []
    for file in seen_rows.files_of(visit.typed):
        if is_photo(file):
            try:
                ready.append(photos.made_ready(file))
            except Unreadable:
                if len(visit.typed.files["file"]) == 1:
                    raise
    with visit.writing() as desk:
        return [photos.keep_photo(desk, concern_id, one, shows, caption) for one in ready]


def kept_with(desk: Desk, concern_id: int, typed: TypedForm) -> tuple[Photo, ...]:
    """The photos that a form carries, of those of its concern."""
    sent = set(ids_of(typed))
    return tuple(one for one in photos.list_photos(desk, concern_id) if one.id in sent) if sent else ()


def ids_of(typed: TypedForm) -> list[int]:
    """The photos that a form carries."""
    return [int(one) for one in typed.all("photo") if one.isdecimal() and len(one) < 10]
