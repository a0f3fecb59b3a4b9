"""Photos on their page: described, put on the print, deleted, and for people of the shop alone."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.kb.desk.bay.test_photos import from_a_phone, opened
from tests.web.browsing import Visitor


def test_a_photo_is_described_put_on_the_print_and_deleted_on_its_page(bay: RunningShop) -> None:
    concern, visitor = opened(bay, "77"), Visitor(bay).sign_in("tech")
    place = f"/concerns/{concern}/photos"
    file = ("label.jpg", from_a_phone(wide=400), "image/jpeg")
    sent = visitor.send(place, place, {"shows": "label", "caption": "door"}, file=file)
    assert "1 photo kept." in sent.text
    [photo] = [one.action for one in visitor.see(place).forms if one.action.startswith(f"{place}/")]
    number = photo.rsplit("/", 1)[1]
    visitor.send(place, photo, {"caption": "door label", "on_print": "yes"})
    paper = visitor.see(f"/concerns/{concern}/print")
    assert [one["src"] for one in paper.all("img")] == [f"/photos/{number}"]
    assert "door label" in paper.text
    assert visitor.client.get(f"/photos/{number}/small").headers["content-type"] == "image/jpeg"
    gone = visitor.send(place, photo, {"delete": "yes"})
    assert "Deleted by" in gone.text
    assert visitor.client.get(f"/photos/{number}").status_code == 404
    visitor.client.cookies.clear()
    assert "image" not in visitor.client.get(f"/photos/{number}").headers["content-type"]
