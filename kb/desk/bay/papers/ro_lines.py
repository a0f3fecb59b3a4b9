"""What goes onto a repair order: the lines of its print, and the same as text to copy."""

from __future__ import annotations

from kb.desk.access import accounts
from kb.desk.bay.concern import findings_shown
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import release
from kb.desk.context import Desk, anyone_in_the_shop
from kb.papers.plain_text import PaperPart, plain_text
from kb.papers.repair_order import repair_order
from kb.papers.shop_words import ShopWords


@anyone_in_the_shop
def ro_parts(desk: Desk, concern_id: int) -> tuple[PaperPart, ...]:
    """Concern, cause, correction and the customer's OK, as they are on file. Raises NotFound."""
    return desk.once(("RO parts", concern_id), lambda: _parts(desk, concern_id))


@anyone_in_the_shop
def ro_text(desk: Desk, concern_id: int, *, only_ascii: bool = False) -> str:
    """The same as plain text; in ASCII alone for programs that mangle other letters."""
    return plain_text(ro_parts(desk, concern_id), only_ascii=only_ascii)


@anyone_in_the_shop
def ro_texts(desk: Desk, concern_id: int) -> tuple[str, str]:
    """Both texts, of one gather: as it was typed, and in ASCII alone."""
    parts = ro_parts(desk, concern_id)
    return plain_text(parts), plain_text(parts, only_ascii=True)


@anyone_in_the_shop
def shop_words(desk: Desk) -> ShopWords:
    """The shop's clock and money, and what its people are called."""
    called = {one.name: one.display_name for one in accounts.list_users(desk)}
    return ShopWords(desk.shop.zone, desk.shop.currency, called)


def _parts(desk: Desk, concern_id: int) -> tuple[PaperPart, ...]:
    file = read_concern(desk, concern_id)
    stands = how_it_stands(desk, concern_id)
    return repair_order(
        file,
        release.release_list(desk, concern_id),
        findings_shown.list_findings(desk, concern_id),
        stands.compared,
        stands.counted,
        shop_words(desk),
    )
