"""The lead's queues by the names in their addresses."""

from __future__ import annotations

NOTE_QUEUES = ("drafts", "contradicted", "look-again")
"""Those of notes: what is done with a note there leads back there."""
QUEUES = ("proposals", *NOTE_QUEUES, "unanswered")
