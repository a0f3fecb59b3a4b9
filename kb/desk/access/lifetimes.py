"""How long sessions and tokens hold. Pure: the moment is handed in.

A session ends seven days after it was opened, and after four days without use: NIST SP 800-63B-4, section
2.1.3 (AAL1; from memory), asks for an overall limit of at most 30 days and leaves one for idle time open; a
long weekend is three and a half. Opened by PIN it ends after 24 hours, the overall limit of section 2.2.3
(AAL2). OWASP ASVS 5.0, 7.3.1 and 7.3.2, ask for both limits, 7.1.1 for the reason. How many sessions a person
has open at once is not limited: a shop has more screens than people (7.1.2).
"""

from __future__ import annotations

from datetime import datetime, timedelta

from kb.nouns.people import Door

SESSION_LASTS = timedelta(days=7)
PIN_SESSION_LASTS = timedelta(hours=24)
IDLE_AT_MOST = timedelta(days=4)
TOKEN_DAYS, LONGEST_TOKEN_DAYS = 365, 730
PROGRAMMING_AT_MOST = timedelta(hours=12)
"""So long after its start programming may still be going on; common practice, no source."""

_NOTED_EVERY = timedelta(minutes=10)
_NOTED_ON_SHARED = timedelta(minutes=1)


def session_lasts(door: Door) -> timedelta:
    return PIN_SESSION_LASTS if door is Door.PIN else SESSION_LASTS


def holds(begun: datetime, ends: datetime | None, now: datetime) -> bool:
    """Whether what began then holds. A clock that was set back makes nothing last: what seems to begin later
    than now is as old as it is far away. Without an end nothing holds.
    """
    return ends is not None and abs(now - begun) < ends - begun


def is_idle(last_seen: datetime | None, limit: timedelta, now: datetime) -> bool:
    """Not used for so long, whichever way the clock was set meanwhile."""
    return last_seen is None or abs(now - last_seen) >= limit


def is_worth_noting(last_seen: datetime | None, now: datetime, *, on_shared: bool) -> bool:
    """Whether the last use was so long ago that this one is written down: not each is."""
    return is_idle(last_seen, _NOTED_ON_SHARED if on_shared else _NOTED_EVERY, now)


def is_programming(until: datetime | None, now: datetime) -> bool:
    """Whether programming that was begun may still be going on."""
    return until is not None and timedelta(0) < until - now <= PROGRAMMING_AT_MOST
