"""Tap reasons for doing something else than advised, as they are kept."""

from __future__ import annotations

CUSTOMER_INSISTS = "customer insists"
NO_TOOL = "no tool for it"
LEAVING_TODAY = "leaving today"
FREE_AT_DEALER = "dealer does it free"
OUT_OF_AUTHORIZATION = "out of authorization"
SEEN_BEFORE = "seen it before"

WHY_SENT_AWAY = (NO_TOOL, FREE_AT_DEALER, CUSTOMER_INSISTS, LEAVING_TODAY, OUT_OF_AUTHORIZATION)
WHY_NOT = (CUSTOMER_INSISTS, NO_TOOL, LEAVING_TODAY, FREE_AT_DEALER, OUT_OF_AUTHORIZATION, SEEN_BEFORE)
