"""The pages, one module a group. OPEN_ROUTERS answer anybody, ROUTERS only people of the shop."""

from __future__ import annotations

from web.pages.access import people, sign_in
from web.pages.bay import (
    concern,
    concern_costs,
    concern_taps,
    customer_word,
    decisions,
    evidence,
    exact_entries,
    home,
    new_concern,
    papers,
    prep,
    programming,
    readings,
    recalls,
    release,
    search,
    what_if,
)
from web.pages.calls import followups, here_again
from web.pages.imports import imports, jobs, reflashes_read
from web.pages.notes import (
    answering,
    bulk,
    checks,
    families,
    lexicon,
    merging,
    note_writing,
    notes,
    notes_export,
    pasting,
    proposing,
    queues,
)
from web.pages.review import advice_audit, first_steps, review, review_more
from web.pages.shop import backups, equipment, shop, subscriptions

OPEN_ROUTERS = (sign_in.router, home.open_router)
ROUTERS = (
    home.router,
    new_concern.router,
    concern.router,
    concern_taps.router,
    here_again.router,
    readings.router,
    recalls.router,
    concern_costs.router,
    evidence.router,
    customer_word.router,
    decisions.router,
    exact_entries.router,
    prep.router,
    programming.router,
    release.router,
    followups.router,
    papers.router,
    search.router,
    proposing.router,
    answering.router,
    queues.router,
    pasting.router,
    note_writing.router,
    merging.router,
    bulk.router,
    notes_export.router,
    notes.router,
    lexicon.router,
    families.router,
    imports.router,
    jobs.router,
    reflashes_read.router,
    first_steps.router,
    review.router,
    review_more.router,
    advice_audit.router,
    shop.router,
    checks.router,
    equipment.router,
    subscriptions.router,
    people.router,
    backups.router,
    what_if.router,
)
