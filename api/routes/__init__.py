"""Every router of the interface. Those of ROUTERS need a signed-in person."""

from __future__ import annotations

from api.routes import (
    advice,
    concerns,
    docs,
    equipment,
    imports,
    notes,
    outcomes,
    people,
    reports,
    search,
    shop,
    whatif,
)

OPEN_ROUTERS = (people.open_router, docs.router)
ROUTERS = (
    people.router,
    search.router,
    whatif.router,
    concerns.router,
    advice.router,
    outcomes.router,
    notes.router,
    reports.router,
    imports.router,
    shop.router,
    equipment.router,
)
