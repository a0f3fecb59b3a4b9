"""The file of a concern, gathered once for everybody who asks in a request that only reads."""

from __future__ import annotations

from functools import partial

from kb.desk.bay.advice.update_names import names_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.records.store.bay import concern_file as store


@anyone_in_the_shop
def read_concern(desk: Desk, concern_id: int) -> ConcernFile:
    """Everything on file about it. Raises NotFound."""
    called = partial(names_of, desk)
    file = desk.once(
        ("concern file", concern_id),
        lambda: store.concern_file(desk.session, desk.shop.id, concern_id, called),
    )
    if file is None:
        raise NotFound(f"There is no concern {concern_id} here.")
    return file
