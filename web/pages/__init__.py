"""The pages, one module a group. OPEN_ROUTERS answer anybody, ROUTERS only people of the shop."""

from __future__ import annotations

from web.pages import (
    concern,
    concern_taps,
    decisions,
    followups,
    home,
    new_concern,
    papers,
    prep,
    programming,
    sign_in,
)

OPEN_ROUTERS = (sign_in.router, home.open_router)
ROUTERS = (
    home.router,
    new_concern.router,
    concern.router,
    concern_taps.router,
    decisions.router,
    prep.router,
    programming.router,
    followups.router,
    papers.router,
)
