"""The concerns on which a change of a check is tried: those that are open, then the last ones decided."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator

from kb.advice.checks.deciding import Case
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import learning
from kb.desk.bay.advice.advice import INPUTS
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk
from kb.nouns.advice import ConcernInHand
from kb.nouns.bay.list_asked import ListAsked
from kb.records.store.bay import decisions as store
from kb.records.store.bay.other_concerns import concerns_listed

MOST = 60
"""Concerns that are tried at most, half of them open ones if there are so many."""
SECONDS = 5.0
"""After the first, which may have to wait for the index: then no further one is begun. A page that is waited
for says on how many it rests.
"""


def cases(desk: Desk) -> Iterator[Case]:
    """Newest first; a closed concern as it stood at its last decision, all with what is believed today."""
    settings = settings_desk.current(desk).advice_settings(desk.shop.currency)
    learned = learning.learned(desk)
    give_up = math.inf
    for concern in _concerns(desk):
        if time.monotonic() > give_up:
            return
        yield Case(concern, learned, settings)
        give_up = min(give_up, time.monotonic() + SECONDS)


def _concerns(desk: Desk) -> Iterator[ConcernInHand]:
    open_ones = concerns_listed(desk.session, desk.shop.id, ListAsked(), MOST // 2)
    for one in open_ones:
        yield concern_in_hand(desk, read_concern(desk, one.id))
    for inputs in store.latest_inputs(desk.session, desk.shop.id, MOST - len(open_ones)):
        yield INPUTS.validate_python(inputs).concern
