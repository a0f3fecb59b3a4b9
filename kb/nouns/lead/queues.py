"""What each queue of notes is called that waits for the lead."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

QUEUE_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "proposals": "proposed",
        "drafts": "in draft",
        "contradicted": "contradicted by outcomes",
        "look-again": "not looked at for a year",
        "unanswered": "asked, nothing found",
    }
)
