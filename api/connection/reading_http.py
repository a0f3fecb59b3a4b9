"""How requests are read off a connection, the same at every port, and how what is none is refused."""

from __future__ import annotations

from typing import Any, Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from api.connection.safe_headers import SAFE_HEADERS

_UNREADABLE = "The request cannot be read: it is no HTTP, or its address, cookies or headers are too long.\n"


class Http(H11Protocol):
    """uvicorn's reading by h11; its reading of where a request ends is what the tests hold."""

    def send_400_response(self, msg: str) -> None:
        """Refused as every other request is: uvicorn's own answer has no headers that bind a browser. Whoever
        has an answer already gets none behind it.
        """
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            said = _UNREADABLE.encode()
            own = {
                "Content-Type": "text/plain; charset=utf-8",
                "Content-Length": str(len(said)),
                "Cache-Control": "no-store",
                "Connection": "close",
            }
            named = [(name.encode(), value.encode()) for name, value in (own | dict(SAFE_HEADERS)).items()]
            head = h11.Response(
                status_code=400, reason=b"Bad Request", headers=self.server_state.default_headers + named
            )
            for part in (head, h11.Data(data=said), h11.EndOfMessage()):
                self.transport.write(self.conn.send(part) or b"")
        self.transport.close()


READING: Final[dict[str, Any]] = {
    "http": Http,
    "ws": "none",
    "proxy_headers": False,  # it would believe whoever asks from this machine; `api/connection/proxies.py`
    "log_config": None,  # its lines are written as ours
    "access_log": False,
    "server_header": False,
}
"""What uvicorn is told wherever it listens."""
