"""The description of the interface, for people of the shop: as JSON, and as our own page over it."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, PlainTextResponse

from api.deps import SignedInCall
from api.description.page import STYLE, page
from api.routing import Router

router = Router(include_in_schema=False)


@router.get("/openapi.json")
def description(request: Request, call: SignedInCall) -> JSONResponse:
    return JSONResponse(request.app.openapi())


@router.get("/docs")
def show_docs(request: Request, call: SignedInCall) -> HTMLResponse:
    return HTMLResponse(page(request.app.openapi()))


@router.get("/docs.css")
def docs_style(call: SignedInCall) -> PlainTextResponse:
    return PlainTextResponse(STYLE, media_type="text/css")
