"""Visits of the pages: one request of one browser (`visit`), and who comes in (`arriving`)."""

from __future__ import annotations

from web.visits.arriving import Anybody, Somebody, anybody, somebody
from web.visits.visit import FORM_COOKIE, Visit

__all__ = ["FORM_COOKIE", "Anybody", "Somebody", "Visit", "anybody", "somebody"]
