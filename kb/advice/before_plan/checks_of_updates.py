"""For which updates a check speaks, what answered it already, and what it needs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from kb.nouns.concerns import CodesScanned
from kb.nouns.starting_checks import System
from kb.vehicle.updates_on_file import UpdateOnFile
from kb.words.normalise import words

_RUNNING = frozenset(
    {"idle", "idling", "rpm", "running", "revving", "misfire", "crank", "cranking", "compression", "purge"}
)
_SCANNED = frozenset({CodesScanned.STORED.value, CodesScanned.NONE_STORED.value})


def speaks_for(check_id: int, system: str, updates: Sequence[UpdateOnFile]) -> tuple[int, ...]:
    """Ids of the updates that the check is attached to: all, those of its system, or as the lead said."""
    return tuple(
        update.note_id
        for update in updates
        if system == System.ALL.value
        or (system == update.system and system != System.NOTE.value)
        or check_id in update.checks
    )


def answered_already(key: str, codes_scanned: str, just_before: str) -> bool:
    """Codes as scanned answer the question about unnamed codes; "just before" the one about events."""
    if key == "unnamed_code":
        return codes_scanned in _SCANNED
    return key == "began_after_event" and bool(just_before.strip())


def needs_road(name: str, needs: str) -> bool:
    """Whether a check is done by driving: it needs the road, or is called "Drive it ..."."""
    return "road" in words(needs) or words(name)[:1] == ["drive"]


def starts_engine(name: str, question: str, needs: str) -> bool:
    """Whether a check starts this vehicle, or finds it running, by its own words: it is driven, or needs the
    engine, speaks of idle or rpm, of load, of cranking. A like vehicle is another one.
    """
    said = words(f"{name}. {question}. {needs}")
    if "like vehicle" in needs:
        return False
    under_load = ("under", "load") in pairwise(said)
    return (
        needs_road(name, needs) or words(name)[:1] == ["start"] or under_load or not _RUNNING.isdisjoint(said)
    )


def is_asked(name: str) -> bool:
    """Whether a check asks somebody, and nothing of the vehicle."""
    return words(name)[:1] == ["ask"]
