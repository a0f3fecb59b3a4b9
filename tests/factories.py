"""Small builders: a value that is fine as it stands, of which a test says only what it is about.

Makes, numbers and calibrations are invented.
"""

from __future__ import annotations

from typing import Any

from kb.desk.access import accounts, tokens
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import sign_offs
from kb.nouns.concerns import ConcernDraft, NumberIs
from kb.nouns.notes import NoteCode, NoteDraft, NoteKind
from kb.nouns.people import Actor
from kb.nouns.shop.sign_offs import SignOffDraft, WorkKind
from kb.nouns.vehicles import CalibrationStep, CoverageLine, Vehicle

MAKE, MODEL, YEAR = "Norvane", "Tessel", 2019


def actor_of(shop: RunningShop, name: str) -> Actor:
    """The person called tech, lead or owner, with the role of that name; made on the first call."""
    with shop.writing(CONSOLE) as desk:
        users = {user.name: user for user in accounts.add_starting_people(desk)}
    return Actor(users[name].id, name, name)


def headers_of(shop: RunningShop, name: str) -> dict[str, str]:
    """The header that signs a call in as tech, lead or owner."""
    actor_of(shop, name)
    with shop.writing(CONSOLE) as desk:
        return {"Authorization": f"Bearer {tokens.new_token(desk, name)}"}


def signed(shop: RunningShop, person: str, *kinds: WorkKind, **said: Any) -> None:
    """The lead signs somebody off for kinds of work, on MAKE unless other `makes` are said."""
    whose = actor_of(shop, person).user_id
    with shop.writing(actor_of(shop, "lead")) as desk:
        sign_offs.sign_off(desk, whose, SignOffDraft(kinds, **{"makes": (MAKE,)} | said))


def a_vehicle(**said: Any) -> Vehicle:
    return Vehicle(**{"make": MAKE, "model": MODEL, "year": YEAR, "engine": "2.0 L"} | said)


def a_note(**said: Any) -> NoteDraft:
    """A published lesson without coverage."""
    usual = {
        "kind": NoteKind.LESSON,
        "title": "Rough idle after a cold start is a cracked intake hose",
        "symptom": "idle hunts and dips when cold",
        "body": "Smoke-test the intake before anything else.",
    }
    return NoteDraft(**usual | said | _coded(said))


def an_update(**said: Any) -> NoteDraft:
    """A published bulletin whose remedy is a reflash."""
    usual = {
        "kind": NoteKind.BULLETIN,
        "number": "NV-24-101",
        "title": "Engine bucks and jerks at light throttle",
        "symptom": "bucking, jerking, surging at light throttle when warm",
        "body": "Reflash the powertrain control module with the newer calibration.",
        "conditions": "Warm engine, light throttle, 25 to 45 mph, uphill.",
        "coverage": (CoverageLine(MAKE, MODEL, ((2017, 2021),)),),
        "steps": (CalibrationStep("PCM", ("NV10A",), "NV10B"),),
        "system": "engine",
    }
    return NoteDraft(**usual | said | _coded(said))


def _coded(said: dict[str, Any]) -> dict[str, Any]:
    """Codes given as plain texts are what the note calls its own."""
    return {"codes": tuple(NoteCode(code) for code in said["codes"])} if "codes" in said else {}


def a_concern(**said: Any) -> ConcernDraft:
    usual = {
        "ro_number": "2087",
        "complaint": "bucks and jerks at light throttle going uphill when warm",
        "vehicle": a_vehicle(),
        "same_number": NumberIs.ANOTHER_VEHICLE,
    }
    return ConcernDraft(**usual | said)
