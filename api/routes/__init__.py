"""Every router of the interface. Those of ROUTERS need a signed-in person."""

from __future__ import annotations

from api.routes import (
    advice,
    concern_costs,
    concerns,
    docs,
    equipment,
    evidence,
    families,
    imports,
    lexicon,
    notes,
    outcomes,
    people,
    prep,
    recalls,
    release,
    reports,
    search,
    shop,
    subscriptions,
    whatif,
)

OPEN_ROUTERS = (people.open_router, docs.router)
ROUTERS = (
    people.router,
    search.router,
    whatif.router,
    concerns.router,
    recalls.router,
    advice.router,
    concern_costs.router,
    evidence.router,
    prep.router,
    release.router,
    outcomes.router,
    notes.router,
    lexicon.router,
    families.router,
    reports.router,
    imports.router,
    shop.router,
    equipment.router,
    subscriptions.router,
)
