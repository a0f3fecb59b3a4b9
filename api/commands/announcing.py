"""What `serve` and `demo` say when they start: where the pages are, for this computer and for tablets."""

from __future__ import annotations

from collections.abc import Iterator

from api.commands import say
from api.commands.listening import address_of
from api.connection import qr
from api.connection.reach import FOR_TABLETS, Reach, reach
from api.settings import ProcessSettings
from kb.desk.context import utc_now


def say_where(process: ProcessSettings, what: str) -> None:
    """`what` is there; and how a tablet gets there, with a QR code where somebody looks at the terminal."""
    say(f"{what} is at {address_of(process)}")
    for line in for_tablets(reach(process, utc_now())):
        say(line)


def for_tablets(found: Reach) -> Iterator[str]:
    if found.pages:
        yield f"Tablets reach it at {found.pages[0]}"
    else:
        yield f"Tablets do not reach it there; for those of your network start it with {FOR_TABLETS}."
    for other in found.pages[1:]:
        yield f"  or, in another network of this computer, at {other}"
    if found.fingerprint:
        yield f"A new device begins at {found.begins_at}"
        yield "and trusts the authority whose SHA-256 fingerprint is"
        yield f"  {found.fingerprint}"
    yield from found.warnings
    if found.pages and (code := qr.on_terminal(found.begins_at)):
        yield code
