"""HTTPS around the server: certificates before it starts and while it runs, and the way there over HTTP."""

from __future__ import annotations

import threading
from typing import Any

import uvicorn

from api.connection import kept, tls
from api.connection.reading_http import READING
from api.settings import ProcessSettings
from kb.desk.context import utc_now


def prepared(process: ProcessSettings) -> None:
    """Certificates are there, and are kept current from now on. Raises what `kept.renew` raises."""
    kept.renew(process, utc_now())
    kept.renew_in_background(process)


def listens(process: ProcessSettings) -> dict[str, Any]:
    """Where uvicorn listens, and how."""
    secured = {"ssl_context_factory": tls.of_this_process} if process.https else {}
    return {"host": process.host, "port": process.pages_at[1], **secured}


def show_the_way(process: ProcessSettings) -> None:
    """Answer at the plain port, from this process, whatever the workers do."""
    config = uvicorn.Config(
        "web.trust.app:make",
        factory=True,
        host=process.host,
        port=process.port,
        lifespan="off",
        **READING,
    )
    threading.Thread(target=uvicorn.Server(config).run, name="the way to HTTPS", daemon=True).start()
