"""The words on the screen for the values that the desk keeps (fields of the API stay as they are)."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kb.nouns import recorded_words
from kb.nouns.advice import Verdict
from kb.nouns.bay.clocks import USUAL
from kb.nouns.bay.on_file import PAYERS
from kb.nouns.bay.waiting import WAITING_WORDS
from kb.nouns.lead.queues import QUEUE_WORDS
from kb.nouns.people import ROLE_WORDS
from kb.nouns.review.alarms import ALARM_WORDS
from kb.nouns.shop.sign_offs import KIND_WORDS
from kb.nouns.shop.who_needs_signing import ACCESS_WORDS


def _as_kept(*values: str) -> dict[str, str]:
    """Values that read as they are kept, so that they can be chosen from in this order."""
    return dict(zip(values, values, strict=True))


_WAITS = {"proposed": "proposed, waiting for the lead", "withdrawn": "taken back"}

WORDS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    dict(recorded_words.WORDS)
    | {
        "verdict": {one.value: one.words for one in Verdict},
        "instead": {
            "reflash": "Reflash now",
            "keep_diagnosing": Verdict.KEEP_DIAGNOSING.words,
            "check_first": "Another check",
            "sent_to_dealer": "Send to the dealer",
            "nothing": "Nothing now",
        },
        "applies": {"yes": "applies", "no": "does not apply", "cannot_tell": "can't tell"},
        "grade": {"strong": "strong match", "partial": "partial match", "weak": "weak match"},
        "kind": {"concern": "past vehicle"},
        "check_system": _as_kept("all", "engine", "transmission", "body", "network", "hybrid")
        | {"note": "none but the notes below"},
        "yes_when": {"over": "over the limit", "under": "under the limit", "within": "within two limits"},
        "decides": {
            "both": "both results",
            "yes": "the yes; a no takes a look",
            "no": "the no; a yes takes a look",
        },
        "code_kind": {
            "defining": "defines it",
            "may_be_stored": "may be stored",
            "not_part": "not part of this condition",
        },
        "remedy": {
            "": "not said",
            "software": "software",
            "software_and_part": "software and a part",
            "inspect_then_software": "inspect, then software",
            "part": "a part",
            "inspection": "inspection",
            "notice": "a notice only",
        },
        "backup": {"nightly": "by itself", "by-hand": "by hand", "before-upgrade": "before an upgrade"},
        "clock": {kind.value: usual.words for kind, usual in USUAL.items()},
        "work_kind": {kind.value: words for kind, words in KIND_WORDS.items()},
        "own_access": {kind.value: words for kind, words in ACCESS_WORDS.items()},
        "payer": _as_kept(*PAYERS),
        "invoice_payer": {"shop": "us", "customer": "the customer", "manufacturer": "the manufacturer"},
        "door": {"password": "since", "one_click": "demo, since", "pin": "by PIN, since"},
        "token_scope": {
            "read": "only read",
            "tech": "do what a technician may",
            "lead": "do what a lead technician may",
            "role": "do all that its person may",
        },
        "role": ROLE_WORDS,
        "follow_up": {
            "fine": "still fine",
            "came_back": "same concern came back",
            "other_cause": "another cause was found",
            "new_complaint": "a new complaint since the reflash",
            "updated_by_air": "updated over the air since",
            "sold": "sold or gone",
            "no_answer": "no answer",
            "seen_not_asked": "here for something else, not asked",
        },
        "alarm": {kind.value: words for kind, words in ALARM_WORDS.items()},
        "calibration": {
            "newest_on_file": "latest we know of",
            "superseded": "newer calibration exists",
            "not_on_file": "not on file",
            "not_read": "not read yet",
        },
        "bulk": {
            "publish": "Published",
            "retire": "Retired",
            "set_module": "Module set",
            "set_makes": "Makes set",
        },
        "bulk_state": {"working": "still at work", "undoing": "being undone"},
        "bulk_left": {
            "merged": "merged into another note: take the merge back instead",
            "circle": "its calibrations would close a circle with others",
            "edited_since": "edited since, so it stays as edited",
        },
        "import": {
            "running": "still running",
            "stopped": "stopped with an error",
            "undoing": "being undone",
        },
        "equipment": {
            "pass_thru_device": "pass-thru device",
            "computer": "computer",
            "battery_support_unit": "battery support unit (clean power supply)",
            "bench_kit": "bench kit",
            "charger": "charger only, never for programming",
        },
        "subscription": _as_kept("information", "programming"),
        "replaced": _as_kept("new", "remanufactured", "used"),
        "proposal": {
            "lesson": "a lesson",
            "says_otherwise": "the bulletin says otherwise",
            "better_check": "a better check",
        },
        "proposal_lesson": _WAITS | {"taken": "published", "changed": "published with changes"},
        "proposal_says_otherwise": _WAITS | {"taken": "note corrected"},
        "proposal_better_check": _WAITS | {"taken": "check added", "changed": "check added with changes"},
        "same_by": {
            "number": "the same number",
            "calibrations": "the same calibration",
            "defect": "one defect, by what both name",
            "words": "nearly the same words",
        },
        "queue": QUEUE_WORDS,
        "correction": {
            "replaced": "modules replaced and programmed",
            "declined": "declined",
            "nothing_newer": "with nothing newer to install",
            "elsewhere": "for a dealer or another shop",
            "before": "of an earlier reflash",
            "by_air": "of an update by air",
            "failed": "programming that failed",
            "recommended": "only recommended",
            "not_done": "said not to be done",
            "key": "keys and remotes",
            "radio": "radios and clocks",
            "tpms": "tire sensors",
            "injectors": "injectors",
            "setup": "setup or relearn only",
        },
        "waiting_for": {one.value: words for one, words in WAITING_WORDS.items()},
        "waiting_short": {
            "soak": "cold soak",
            "part": "part",
            "customer_ok": "customer's OK",
            "lead": "lead",
            "sent_out": "sent out",
            "nothing": "can go on",
        },
        "shows": _as_kept("label", "screen", "error") | {"other": "something else"},
        "course": {
            "buy": "Buy access for the year",
            "rent": "Rent access as vehicles come",
            "rent_device": "Rent a device by the day",
            "send_out": "Send it out",
        },
        "course_said": {
            "buy": "keep it here and buy access for the year",
            "rent": "keep it here and rent access as vehicles come",
            "rent_device": "keep it here and rent a device by the day",
            "send_out": "send it out",
        },
        "course_beside": {
            "buy": "buying access for the year",
            "rent": "renting access as vehicles come",
            "rent_device": "renting a device by the day",
            "send_out": "sending it out",
        },
        "would_keep": {
            "device": "a device that the manufacturer lists",
            "subscription": "access to programming",
            "tool": "the tool that was missing",
        },
        "missing": {
            "device": "no device that the manufacturer lists",
            "subscription": "no access to programming",
            "tool": "no tool for it, as was said",
            "not_said": "sent to the dealer, no reason written down",
            "chosen": "sent out by choice",
            "free_elsewhere": "free at the dealer",
            "customer": "the customer's own reasons",
        },
        "overnight": {"yes": "can stay overnight", "no": "leaves today", "not_asked": ""},
    }
)

WHEN_CURED = "it counts as cured once it is known to be OK at the end of its window"


def word(value: object, noun: str) -> str:
    """The words for `value` of `noun`; one without words of its own is shown with its underscores opened."""
    return recorded_words.in_words(value, noun, WORDS)


def choices(noun: str) -> tuple[tuple[str, str], ...]:
    """(value, words) pairs of a noun, in the order in which people should see them."""
    return tuple(WORDS[noun].items())
