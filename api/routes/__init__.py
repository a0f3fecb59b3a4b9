"""Every router of the interface."""

from __future__ import annotations

from api.routes.access import people, sign_offs, tokens
from api.routes.bay import (
    advice,
    concern_costs,
    concerns,
    evidence,
    handover,
    papers,
    photos,
    prep,
    read,
    readings,
    recalls,
    release,
    search,
    sent_out,
    waiting,
    whatif,
)
from api.routes.calls import outcomes
from api.routes.imports import imports, reflashes_read
from api.routes.notes import bulk, families, lexicon, notes, proposals
from api.routes.review import reports
from api.routes.shop import docs, equipment, failure_sheets, shop, subscriptions, ways
from api.routing import Router

ROUTERS: tuple[Router, ...] = (
    people.open_router,
    docs.router,
    people.router,
    tokens.router,
    sign_offs.router,
    search.router,
    whatif.router,
    concerns.router,
    waiting.router,
    read.router,
    readings.router,
    photos.router,
    recalls.router,
    advice.router,
    concern_costs.router,
    evidence.router,
    prep.router,
    release.router,
    papers.router,
    handover.router,
    sent_out.router,
    outcomes.router,
    bulk.router,
    notes.router,
    proposals.router,
    lexicon.router,
    families.router,
    reports.router,
    imports.router,
    reflashes_read.router,
    shop.router,
    equipment.router,
    failure_sheets.router,
    ways.router,
    subscriptions.router,
)
