"""Photos kept with a concern: what goes in, what stays out, and what becomes of them."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from sqlmodel import select

from kb.desk.bay.concern import concerns
from kb.desk.bay.seen import photos
from kb.desk.bay.seen.reading_scans import SeenFile
from kb.desk.context import RunningShop
from kb.errors import BadInput, NotFound, Unreadable
from kb.intake.scan.kept_photos import PhotoToKeep
from kb.nouns.bay.photos import Shows
from kb.records.tables import PhotoRow, Trail
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of

pytestmark = pytest.mark.both_databases

_GPS, _ORIENTATION, _MAKE = 0x8825, 0x0112, 0x010F  # Exif 2.3, tags of the first image directory


def from_a_phone(shade: int = 200, wide: int = 2600) -> bytes:
    """A JPEG held sideways, with place, device and a description written into it."""
    exif = Image.Exif()
    exif[_ORIENTATION], exif[_MAKE] = 6, "Secret Phone"
    exif.get_ifd(_GPS).update({1: "N", 2: (48.0, 51.0, 29.6)})
    out = io.BytesIO()
    picture = Image.new("RGB", (wide, wide // 2), (shade, 90, 30))
    picture.paste((0, 0, 255), (0, 0, 100, 100))  # a blue corner at the upper left, as the sensor saw it
    picture.save(out, "JPEG", exif=exif, comment=b"Secret Street 7")
    return out.getvalue()


def ready(data: bytes) -> PhotoToKeep:
    return photos.made_ready(SeenFile("photo.jpg", io.BytesIO(data)))


def opened(shop: RunningShop, ro: str = "2087") -> int:
    with shop.writing(actor_of(shop, "tech")) as desk:
        return concerns.open_concern(desk, a_concern(ro_number=ro)).id


def test_a_photo_is_kept_upright_and_without_place_or_device(shop: RunningShop) -> None:
    photo, concern = ready(from_a_phone()), opened(shop)
    with shop.writing(actor_of(shop, "tech")) as desk:
        kept = photos.keep_photo(desk, concern, photo, Shows.ERROR, "  error 12\n at 60 % ")
        whole, small = photos.photo_file(desk, kept.id), photos.photo_file(desk, kept.id, small=True)
    assert (kept.caption, kept.shows, kept.kept_by) == ("error 12 at 60 %", Shows.ERROR, "tech")
    assert (kept.width, kept.height) == (1000, 2000)  # turned by 90 degrees, and no side over 2,000
    assert whole.tag != small.tag
    for file, height in ((whole, 2000), (small, 640)):
        picture = Image.open(io.BytesIO(file.data))
        assert (picture.format, picture.height, picture.width) == ("JPEG", height, height // 2)
        assert not picture.getexif()
        assert "comment" not in picture.info
        assert b"Secret" not in file.data
        red, green, blue = picture.getpixel(
            (picture.width - 10, 10)
        )  # orientation 6: the corner is at the right
        assert blue > 200 > red + green


def test_the_same_photo_sent_twice_is_one_and_a_deleted_one_leaves_its_line(shop: RunningShop) -> None:
    photo, one, other = ready(from_a_phone()), opened(shop), opened(shop, "2088")
    with shop.writing(actor_of(shop, "tech")) as desk:
        first = photos.keep_photo(desk, one, photo)
        assert photos.keep_photo(desk, one, photo, caption="again") == first
        elsewhere = photos.keep_photo(desk, other, photo)
        photos.change_photo(desk, first.id, Shows.LABEL, "door label", on_print=True)
        assert photos.list_photos(desk, one)[0].on_print
    assert elsewhere.id != first.id
    with shop.writing(actor_of(shop, "lead")) as desk:
        photos.delete_photo(desk, first.id)
        assert photos.list_photos(desk, one) == ()
        with pytest.raises(NotFound, match="may have been deleted"):
            photos.photo_file(desk, first.id)
    with shop.reading(actor_of(shop, "lead")) as desk:
        told = desk.session.exec(select(Trail).where(Trail.action == "deleted a photo")).one()
        assert (told.who, told.noun_id, told.detail["caption"]) == ("lead", one, "door label")
        assert len(photos.list_photos(desk, other)) == 1


def test_a_photo_read_before_its_concern_waits_for_it_and_for_nobody_else(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        mine = photos.keep_photo(desk, None, ready(from_a_phone(10, 300)))
        left = photos.keep_photo(desk, None, ready(from_a_phone(20, 300)))
    concern = opened(shop)
    with shop.writing(actor_of(shop, "lead")) as desk:
        photos.give_photos(desk, concern, [mine.id])
        assert photos.list_photos(desk, concern) == ()
        with pytest.raises(NotFound):
            photos.photo_file(desk, mine.id)
    with shop.writing(actor_of(shop, "tech")) as desk:
        photos.give_photos(desk, concern, [mine.id])
        assert [one.id for one in photos.list_photos(desk, concern)] == [mine.id]
    clock.move(days=2, seconds=1)
    with shop.writing(actor_of(shop, "tech")) as desk:
        photos.keep_photo(desk, None, ready(from_a_phone(30, 300)))
        assert left.id not in [one.id for one in desk.session.exec(select(PhotoRow)).all()]
        assert photos.list_photos(desk, concern)


def test_of_photos_that_wait_the_newest_stay_and_a_concern_gets_no_more_than_it_keeps(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "MOST_OF_A_CONCERN", 2)
    concern = opened(shop)
    with shop.writing(actor_of(shop, "tech")) as desk:
        sent = [photos.keep_photo(desk, None, ready(from_a_phone(shade, 300))).id for shade in (10, 20, 30)]
        assert [one.id for one in photos.waiting_photos(desk, sent)] == sent[1:]
        photos.keep_photo(desk, concern, ready(from_a_phone(40, 300)))
        with pytest.raises(BadInput, match="at most 2 photos"):
            photos.give_photos(desk, concern, sent)
        photos.give_photos(desk, concern, sent[2:])
        assert len(photos.list_photos(desk, concern)) == 2


def test_what_is_no_photo_and_one_too_many_are_refused_with_what_to_do(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(Unreadable, match="no photo that can be read"):
        ready(b"meow")
    with pytest.raises(Unreadable, match="larger than 20 MB"):
        ready(b"\xff\xd8\xff" + bytes(21 << 20))
    monkeypatch.setattr(photos, "MOST_OF_A_CONCERN", 1)
    concern = opened(shop)
    with shop.writing(actor_of(shop, "tech")) as desk:
        photos.keep_photo(desk, concern, ready(from_a_phone(10, 300)))
        with pytest.raises(BadInput, match="at most 1 photos"):
            photos.keep_photo(desk, concern, ready(from_a_phone(20, 300)))
