"""Whether the shop's certificate holds, for `doctor` and for whoever watches the server."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from api.connection import kept, tls
from api.connection.https_only import refuse_what_is_open
from api.settings import BadSettings, ProcessSettings
from kb.nouns.shop.health import Finding, Gravity

_ABOUT = "certificate"
_START = "Start `beforeflash serve --https` again: it makes another one, or says what is wrong."


def certificate(process: ProcessSettings, now: datetime) -> Finding | None:
    """What devices are shown; None without HTTPS of its own. It is bad only where it has ended: devices are
    warned then, and everything else leaves the pages working.
    """
    try:
        found = kept.on_file(process, now)
        if found is not None:
            tls.newest(process.certificate_file)
    except (BadSettings, OSError) as unread:
        says = f"The certificate in {process.certificate_file} cannot be used: {unread}."
        return Finding(_ABOUT, Gravity.WATCH, says, _START, "The certificate cannot be read.")
    if found is None:
        says, to_do = "HTTPS is wanted and no certificate is there yet.", "`beforeflash serve` makes one."
        return (
            Finding(_ABOUT, Gravity.WATCH, says, to_do, "No certificate is there.") if process.https else None
        )
    ends = found.server.not_valid_after_utc
    if ends <= now:
        says = f"The certificate ended on {ends:%Y-%m-%d}: every device is warned of the pages."
        gravity = Gravity.BAD if process.https else Gravity.WATCH
        to_do = _START if process.https else f"{_START} Without HTTPS now, delete {process.https_folder}."
        return Finding(_ABOUT, gravity, says, to_do, "The certificate has ended.")
    if found.warnings:
        return Finding(
            _ABOUT, Gravity.WATCH, " ".join(found.warnings), "", "The certificate wants a look: run doctor."
        )
    says = f"The certificate holds for {(ends - now).days} days more and is renewed by itself; the authority"
    return Finding(_ABOUT, Gravity.FINE, f"{says} until {found.authority.not_valid_after_utc:%Y-%m-%d}.")


def at_the_console(process: ProcessSettings, now: datetime) -> Iterator[Finding]:
    """The same, whether the next one can be made, and what HTTPS alone would refuse."""
    found = certificate(process, now)
    if found is not None:
        yield found
        try:
            kept.authority_of(process.https_folder)
        except (BadSettings, OSError) as wrong:
            yield Finding("authority", Gravity.BAD, f"No certificate can be made any more: {wrong}")
    try:
        refuse_what_is_open(process, process.shop_url)
    except BadSettings as refused:
        yield Finding("https alone", Gravity.BAD, str(refused))
    else:
        if process.https_only:
            says = (
                "Nothing is let in without HTTPS. Browsers that came by this computer's name remember it for "
                "a year; before you go back, read HTTPS alone in the guide (Tablets)."
            )
            yield Finding("https alone", Gravity.FINE, says)
