"""Answers that a browser saves as a file."""

from __future__ import annotations

from starlette.responses import Response


def csv_file(text: str | bytes, name: str) -> Response:
    """CSV text under a name without its ending; nothing keeps a copy on the way."""
    headers = {"Content-Disposition": f'attachment; filename="{name}.csv"', "Cache-Control": "no-store"}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)
