"""Photos kept with a concern and its programming: kept, told of, put right, and deleted by name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from datetime import timedelta

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.seen.reading_scans import SeenFile, bytes_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, NotFound
from kb.intake.scan.kept_photos import PhotoToKeep, to_keep
from kb.intake.scan.pictures import in_turn
from kb.nouns.bay.photos import Photo, PhotoFile, Shows
from kb.records.store import rows
from kb.records.store.bay import photos as store
from kb.records.tables import PhotoRow

MOST_OF_A_CONCERN = 60
LONGEST_CAPTION = 200
_WAITS = timedelta(days=2)
"""For so long a photo that was read stays, though nobody opened the concern."""


def made_ready(file: SeenFile) -> PhotoToKeep:
    """A photo as it will be kept; done before a desk is asked for. Raises Unreadable and NotReady."""
    name = file.name or "The file"
    with in_turn():
        return to_keep(name, bytes_of(file))


@anyone_in_the_shop
def keep_photo(
    desk: Desk, concern_id: int | None, photo: PhotoToKeep, shows: Shows = Shows.OTHER, caption: str = ""
) -> Photo:
    """Keep a photo with a concern; the same one sent again is the one that is kept.

    Without a concern it waits two days for `give_photos`, or until as many newer ones of this person wait as
    a concern keeps. Raises NotFound and BadInput (too many).
    """
    if concern_id is None:
        store.forget_waiting(desk.session, desk.shop.id, desk.now - _WAITS)
    else:
        concerns.on_file(desk, concern_id)
    same = store.sent_before(desk.session, desk.shop.id, concern_id, desk.actor.name, photo.sent_sha256)
    if same is not None:
        return same
    if concern_id is None:
        store.forget_but_newest(desk.session, desk.shop.id, desk.actor.name, MOST_OF_A_CONCERN - 1)
    else:
        _refuse_too_many(store.count_of(desk.session, concern_id) + 1)
    row = PhotoRow(
        shop_id=desk.shop.id,
        concern_id=concern_id,
        shows=shows.value,
        caption=_caption(caption),
        on_print=False,
        kept_by=desk.actor.name,
        kept_at=desk.now,
        **asdict(photo),
    )
    kept = rows.save(desk.session, row)
    if concern_id is not None:
        desk.note_down("kept a photo", "concern", concern_id, photo=kept.id, sha256=photo.sha256)
    return _one(desk, kept.id or 0)


@anyone_in_the_shop
def list_photos(desk: Desk, concern_id: int) -> tuple[Photo, ...]:
    """The photos of a concern in the order in which they were kept. Raises NotFound."""
    read_concern(desk, concern_id)
    return store.of_concern(desk.session, desk.shop.id, concern_id)


@anyone_in_the_shop
def waiting_photos(desk: Desk, photo_ids: Iterable[int]) -> tuple[Photo, ...]:
    """Those of these that wait for a concern of this person's to be opened."""
    return store.waiting_of(desk.session, desk.shop.id, desk.actor.name, photo_ids)


@anyone_in_the_shop
def give_photos(desk: Desk, concern_id: int, photo_ids: Iterable[int]) -> None:
    """Keep with a concern what was read before it was opened. Raises BadInput (too many)."""
    concerns.on_file(desk, concern_id)
    own = {one.sha256 for one in store.of_concern(desk.session, desk.shop.id, concern_id)}
    given = [one for one in waiting_photos(desk, photo_ids) if one.sha256 not in own]
    _refuse_too_many(len(own) + len(given))
    store.put(desk.session, [one.id for one in given], concern_id=concern_id)
    for one in given:
        desk.note_down("kept a photo", "concern", concern_id, photo=one.id, sha256=one.sha256)


@anyone_in_the_shop
def give_to_event(desk: Desk, concern_id: int, event_id: int, photo_ids: Iterable[int]) -> None:
    """Say of photos of a concern at which programming they were taken."""
    concerns.on_file(desk, concern_id)
    own = {one.id for one in store.of_concern(desk.session, desk.shop.id, concern_id)}
    store.put(desk.session, own & set(photo_ids), event_id=event_id)


@anyone_in_the_shop
def photo_file(desk: Desk, photo_id: int, *, small: bool = False, had: str = "") -> PhotoFile:
    """The bytes of a photo or of its small copy; none where the mark `had` is its own. Raises NotFound."""
    tag = f'"{_one(desk, photo_id).sha256[:32]}{"-small" if small else ""}"'
    data = None if had == tag else store.bytes_of(desk.session, desk.shop.id, photo_id, small=small)
    return PhotoFile(data or b"", tag)


@anyone_in_the_shop
def change_photo(desk: Desk, photo_id: int, shows: Shows, caption: str, *, on_print: bool) -> Photo:
    """Say what it shows, and whether it goes on the print of the repair order. Raises NotFound."""
    one = _one(desk, photo_id)
    store.put(desk.session, [photo_id], shows=shows.value, caption=_caption(caption), on_print=on_print)
    desk.note_down("described a photo", "concern", one.concern_id, photo=photo_id)
    return _one(desk, photo_id)


@anyone_in_the_shop
def delete_photo(desk: Desk, photo_id: int) -> Photo:
    """Delete it with its bytes; who did it, and of which photo, stays in the trail. Raises NotFound."""
    desk.must_be_signed()
    one = _one(desk, photo_id)
    store.forget_one(desk.session, photo_id)
    said = {"photo": photo_id, "sha256": one.sha256, "caption": one.caption, "kept_by": one.kept_by}
    desk.note_down("deleted a photo", "concern", one.concern_id, **said)
    return one


def _refuse_too_many(count: int) -> None:
    if count > MOST_OF_A_CONCERN:
        raise BadInput(
            f"A concern keeps at most {MOST_OF_A_CONCERN} photos. Delete or leave out one that nobody needs "
            "first.",
            fields={"file": "too many"},
        )


def _one(desk: Desk, photo_id: int) -> Photo:
    """A photo of a concern, or one that waits for this person's."""
    found = store.photo(desk.session, desk.shop.id, photo_id)
    if found is None or (found.concern_id is None and found.kept_by != desk.actor.name):
        raise NotFound(f"There is no photo {photo_id} here; it may have been deleted.")
    return found


def _caption(typed: str) -> str:
    plain = " ".join(typed.split())
    if len(plain) > LONGEST_CAPTION:
        most = f"at most {LONGEST_CAPTION} characters"
        raise BadInput(f"A caption takes {most}.", fields={"caption": most})
    return plain
