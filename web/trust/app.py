"""What answers over plain HTTP while the pages are under HTTPS: how a device trusts this shop.

It gives the authority's certificate and no key, takes nothing, and sends whoever has an old address to the
new one. It runs in the process that started the workers, with no database.
"""

from __future__ import annotations

from cryptography.hazmat.primitives.serialization import Encoding
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from api.connection import kept
from api.connection.authority import fingerprint
from api.connection.https_only import answer_without_encryption, is_beside_us, pages_of_the_same_host
from api.health import alive
from api.hosts import Called
from api.middleware import Guarded, around
from api.settings import ProcessSettings, from_environment
from kb.desk.context import utc_now
from web.rendering import environment, render
from web.static_files import StaticFiles

_CERTIFICATE = "application/x-x509-ca-cert"
"""What browsers and phones take for an authority to be added (in use since Netscape's; from memory). RFC
2585's application/pkix-cert is kept as a file by some.
"""


def make(process: ProcessSettings | None = None) -> Guarded:
    """The plain port's application."""
    settings = process or from_environment()
    static = StaticFiles()
    env = environment(static.url)
    app = Guarded(openapi_url=None, docs_url=None, redoc_url=None)

    def trust(request: Request) -> Response:
        shown = {
            "fingerprint": fingerprint(_certificates(settings).authority),
            "pages": pages_of_the_same_host(request, settings.https_port),
            **_NOBODY,
        }
        return HTMLResponse(render(env, "trust.html", shown), headers={"Cache-Control": "no-store"})

    def certificate(request: Request) -> Response:
        content = _certificates(settings).authority.public_bytes(Encoding.DER)
        name = {"Content-Disposition": 'attachment; filename="beforeflash-authority.crt"'}
        return Response(content, media_type=_CERTIFICATE, headers=name)

    def is_alive(request: Request) -> Response:
        is_open = settings.https_only and not is_beside_us(request.scope)
        return elsewhere(request) if is_open else alive()

    def elsewhere(request: Request) -> Response:
        return answer_without_encryption(request, settings.https_port)

    for path, answer in (("/", trust), ("/trust", trust), ("/authority.crt", certificate)):
        app.add_route(path, answer)
    app.add_route("/healthz", is_alive)
    app.add_route("/static/{mark}/{name}", static.serve)
    every = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"]
    app.add_route("/{path:path}", elsewhere, methods=every)
    around(app)
    return app.over(Called(settings.hosts, settings.proxies))


_NOBODY = {
    "shop": {"is_demo": False},
    "visitor": None,
    "filled": None,
    "place": "",
    "said": "",
    "backup_warning": "",
    "refused": None,
    "address": "",
}


def _certificates(settings: ProcessSettings) -> kept.Certificates:
    found = kept.on_file(settings, utc_now())
    assert found is not None  # noqa: S101  # made before this port is opened
    return found
