"""The words for what was recorded of a concern, on screens, papers and in texts to copy."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Protocol

from kb.nouns.concerns import FindingResult

WORDS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "source": {
            "read": "read from the vehicle",
            "photo": "from a photo",
            "typed": "typed in",
            "label": "from the label",
            "records": "by our records",
        },
        "read_kind": {
            "calibration_id": "calibration ID",
            "cvn": "CVN",
            "hardware_number": "hardware number",
            "software_number": "software number",
            "not_readable": "not readable",
            "codes_scanned": "scan",
            "code": "code",
            "voltage": "volts",
            "readiness": "monitor",
            "odometer": "miles",
        },
        "moment": {
            "before": "before programming",
            "after": "after programming",
            "other": "in between",
            "unknown": "",
        },
        "readiness": {"ready": "ready", "not_ready": "not ready", "not_supported": "not supported"},
        "scanned": {
            "stored": "codes stored",
            "none_stored": "none stored",
            "not_scanned": "not scanned yet",
            "cleared_before": "cleared before it got here",
        },
        "code_status": {"not_said": ""},
        "result": {
            "completed": "completed",
            "stopped": "stopped with an error",
            "recovered": "recovered",
            "module_lost": "module lost",
            "nothing_newer": "nothing newer offered",
        },
        "duplicated": {"yes": "duplicated", "no": "could not duplicate", "not_tried": "not tried"},
        "road_test": {
            "gone": "gone",
            "still_there": "still there",
            "cannot_say": "cannot say, it did not act up before either",
            "not_done": "road test not done yet",
        },
        "ending": {
            "cured_by_reflash": "cured by the reflash",
            "other_cause": "another cause was found",
            "sent_to_dealer": "sent to the dealer",
            "not_resolved": "not resolved",
        },
        "way": {
            "here": "here",
            "mobile_programmer": "sent out",
            "dealer_paid": "dealer",
            "dealer_free": "dealer, free",
        },
        "way_to": {
            "mobile_programmer": "a mobile programmer",
            "dealer_paid": "the dealer, paid",
            "dealer_free": "the dealer, free",
        },
        "sent_out": {
            "programmed": "programmed",
            "other_repair": "another repair",
            "nothing_done": "nothing done",
            "no_word": "no word came",
        },
        "finding": {"inconclusive": "could not tell"},
        "cameras": {
            "not_required": "not required",
            "required_done": "required, done",
            "required_not_done": "required, not done",
            "unknown": "not known",
        },
        "if_not_cured": {
            "charge_stands": "charge stands",
            "credited": "credited",
            "no_charge": "no charge",
        },
    }
)


class TwoWords(Protocol):
    """A check with its own words for yes and no, such as LEAKS and TIGHT."""

    @property
    def yes_word(self) -> str: ...
    @property
    def no_word(self) -> str: ...


def result_word(check: TwoWords, result: FindingResult | None) -> str:
    """The check's own word for a yes or a no; "could not tell" for anything else."""
    if result == FindingResult.YES:
        return check.yes_word
    if result == FindingResult.NO:
        return check.no_word
    return in_words(FindingResult.INCONCLUSIVE, "finding")


def in_words(value: object, noun: str, words: Mapping[str, Mapping[str, str]] = WORDS) -> str:
    """The words for `value` of `noun`; one without words of its own is shown with its underscores opened."""
    key = value.value if isinstance(value, StrEnum) else str(value)
    return words.get(noun, {}).get(key, key.replace("_", " "))
