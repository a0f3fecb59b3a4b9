"""Every router of the interface. Those of ROUTERS need a signed-in person."""

from __future__ import annotations

from api.routes import docs, people, whatif

OPEN_ROUTERS = (people.open_router, docs.router)
ROUTERS = (people.router, whatif.router)
