"""Static files under names that carry their content's hash, so that browsers may keep them for a year."""

from __future__ import annotations

import hashlib
import mimetypes
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

_YEAR = "public, max-age=31536000, immutable"


class StaticFiles:
    """The files of web/static and the guide's pictures below it, read once. `url("page.js")` is
    "/static/<hash>/page.js".

    Modules import each other by relative address, so one hash over all files names the whole set.
    """

    def __init__(self) -> None:
        folder = files("web") / "static"
        self.contents: Mapping[str, bytes] = MappingProxyType(
            {
                entry.name: entry.read_bytes()
                for part in (folder, folder / "guide")
                for entry in part.iterdir()
                if entry.is_file()
            }
        )
        digest = hashlib.sha256()
        for name in sorted(self.contents):
            digest.update(name.encode() + b"\0" + self.contents[name])
        self.mark = digest.hexdigest()[:12]

    def url(self, name: str) -> str:
        if name not in self.contents:
            raise LookupError(f"web/static has no {name}")
        return f"/static/{self.mark}/{name}"

    def serve(self, request: Request) -> Response:
        """The file; an address with another hash is still answered, but not kept."""
        name, mark = request.path_params["name"], request.path_params["mark"]
        if name not in self.contents:
            return PlainTextResponse("No such file.", status_code=404)
        kind = mimetypes.guess_type(name)[0] or "application/octet-stream"
        keep = _YEAR if mark == self.mark else "no-store"
        return Response(self.contents[name], media_type=kind, headers={"Cache-Control": keep})
