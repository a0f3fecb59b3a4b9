"""What the parameters mean, with an example of each: one meaning a name, or one a call and name."""

from __future__ import annotations

Meaning = tuple[str, object]

PARAMETERS: dict[str, Meaning] = {
    "Idempotency-Key": (
        "A name of your own for this request, another for each; the same request is answered as at first",
        "8e03978e-40d5-43e8-bc93-6894a57f9324",
    ),
    "after": ("Id of the last one you have; those that follow it are listed", 897),
    "ascii": ("Whether letters that other programs mangle are written in ASCII", True),
    "amount": ("At most how much, in whole units of the shop's currency", 180.0),
    "as_of": ("The day to count as of, as if later ones had not come; left out: today", "2026-10-29"),
    "as_typed": ("Words, split on space, comma or semicolon, whose spelling is not put right", "Vell"),
    "bulk_id": ("Id of a change of many notes", 1),
    "check": ("Key of a check, as in the concern's `findings`", "smoke_test"),
    "check_id": ("Id of a check", 8),
    "codes": ("Trouble codes, split on space, comma or semicolon", "P0171 P0300"),
    "reading_id": ("Id of a value read, as the list of readings tells it", 12),
    "concern_id": ("Id of a concern, as opening it gave it", 897),
    "due": ("The day to look to; empty, `true` or left out: today", "2026-10-29"),
    "earlier_id": ("Id of the earlier concern, as `asked_first` names it", 611),
    "entry_id": ("Id of an entry", 3),
    "equipment_id": ("Id of a device, computer or support unit", 2),
    "evidence_behind key": (
        "What the evidence is called in an advice: start, grade, past or a check's key",
        "start",
    ),
    "export_notes format": ("csv or jsonl, one note a line", "jsonl"),
    "follow_up_id": ("Id of a follow-up", 440),
    "from": ("The first day of the reflash that counts", "2026-01-01"),
    "gate": ("Key of a gate, as in the concern's `gates`", "battery"),
    "grade": ("How well the bulletin matched, where `key` is grade", "strong"),
    "group": ("A group of alike texts, as `alike` names it", "8314a0ce7014"),
    "if_not_cured": ("charge_stands, credited or no_charge", "credited"),
    "import_id": ("Id of an import", 1),
    "item": ("Key of a line of the list", "battery-1"),
    "key": ("Its name", "reflash_minutes"),
    "level": ("How much an interval holds, between 0 and 1", 0.9),
    "limit": ("How many at most", 10),
    "list_concerns q": ("Part of a repair order's number, a VIN or the complaint", "2087"),
    "list_concerns state": ("open, closed or all", "open"),
    "list_notes kind": ("bulletin or lesson; left out: both", "bulletin"),
    "list_notes make": ("Only notes for this make", "Tarn"),
    "list_notes q": ("Part of the number or the title", "surge"),
    "list_notes state": ("draft, published or retired; left out: all", "published"),
    "list_proposals state": ("proposed, taken, changed, declined or withdrawn; left out: all", "proposed"),
    "list_requirements make": ("Only what this make asks for", "Tarn"),
    "make": ("The vehicle's make; left out it asks nothing", "Tarn"),
    "mine": ("Whether only one's own are listed", True),
    "model": ("The vehicle's model; left out it asks nothing", "Vell"),
    "module": ("Name of a module", "PCM"),
    "note": ("Id of the update's note; left out: the best candidate", 2),
    "note_id": ("Id of a note", 2),
    "number": ("Number of a recall or campaign, as the look-up by VIN says it", "C-118"),
    "offer_id": ("Id of a plan on offer", 4),
    "page": ("Which page, from 1", 1),
    "programs": ("Whether a module is programmed, which can fail", True),
    "proposed": ("What would be done, in plain words; left out: what the advice says", "Update a module"),
    "proposal_id": ("Id of a proposal", 3),
    "read_vehicle": ("Whether the vehicle that the words tell of counts as if it were filled in", True),
    "requirement_id": ("Id of a requirement", 5),
    "retired_too": ("Whether those out of use are listed too", False),
    "search kind": ("bulletin, lesson or concern; several times for several; left out: all", ["bulletin"]),
    "search limit": ("How many of the best, at most 100", 10),
    "search q": ("The complaint in any words", "bucks n jerks lite throtle uphill"),
    "stop": ("Kind of a stop, as in the advice's `stops`", "not_original"),
    "subscription_id": ("Id of a subscription", 6),
    "to": ("The last day of the reflash that counts", "2026-10-29"),
    "update": ("Id of the update's note, where `key` is start", 2),
    "user_id": ("Id of a person", 3),
    "version": ("The version that you read; if it is stale: 409", 1),
    "vin": ("A whole VIN, or its last characters", "G7TA41KX0J0004217"),
    "window_days": ("Days after a reflash within which its failing is a comeback; left out: the shop's", 90),
    "year": ("The vehicle's model year; left out it asks nothing", 2019),
}


def meaning_of(call: str, name: str) -> Meaning:
    """Of a parameter of the operation `call`. Raises KeyError where nobody wrote it down."""
    said = PARAMETERS.get(f"{call} {name}")
    return said if said is not None else PARAMETERS[name]
