"""The pages, one module a group. OPEN_ROUTERS answer anybody, ROUTERS only people of the shop."""

from __future__ import annotations

from web.pages import (
    audit,
    concern,
    concern_taps,
    decisions,
    followups,
    home,
    imports,
    lexicon,
    new_concern,
    note_writing,
    notes,
    papers,
    prep,
    programming,
    review,
    search,
    shop,
    shop_checks,
    shop_equipment,
    shop_people,
    sign_in,
    what_if,
)

OPEN_ROUTERS = (sign_in.router, home.open_router)
ROUTERS = (
    home.router,
    new_concern.router,
    concern.router,
    concern_taps.router,
    decisions.router,
    prep.by_number,
    prep.router,
    programming.router,
    followups.router,
    papers.router,
    search.router,
    note_writing.router,
    notes.router,
    lexicon.router,
    imports.router,
    review.router,
    audit.router,
    shop.router,
    shop_checks.router,
    shop_equipment.router,
    shop_people.router,
    what_if.router,
)
