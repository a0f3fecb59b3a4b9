"""Our own page over the description of the interface."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import HTMLResponse, PlainTextResponse

from api.deps import AnyCall
from api.description.page import STYLE, page
from api.routing import Router

router = Router(include_in_schema=False)


@router.get("/docs")
def show_docs(request: Request, call: AnyCall) -> HTMLResponse:
    return HTMLResponse(page(request.app.openapi()))


@router.get("/docs.css")
def docs_style(call: AnyCall) -> PlainTextResponse:
    return PlainTextResponse(STYLE, media_type="text/css")
