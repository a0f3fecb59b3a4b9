"""An example of every body that may be sent, by the operation's id: a day in an invented shop."""

from __future__ import annotations

from typing import Any

_CONCERN = {
    "ro_number": "2087",
    "line": "A",
    "complaint": "bucks and jerks at light throttle uphill when warm",
    "make": "Tarn",
    "model": "Vell",
    "year": 2019,
    "engine": "2.0 T",
    "odometer": 61200,
    "codes": [{"code": "P0171"}],
    "codes_scanned": "stored",
    "calibrations": [{"module": "PCM", "calibration_id": "0447B", "source": "read"}],
}
_NOTE = {
    "kind": "bulletin",
    "number": "Vell-22",
    "title": "Surge or hesitation at light load, engine warm",
    "symptom": "Surge, hesitation or bucking at light throttle with the engine warm.",
    "codes": ["P0171"],
    "code_kinds": {"P0171": "may_be_stored"},
    "coverage": [{"make": "Tarn", "model": "Vell", "years": [[2015, 2017], [2019, 2021]], "engine": "2.0 T"}],
    "steps": [{"module": "PCM", "old_ids": ["0447A", "0447B"], "new_id": "0447D"}],
    "speaks_against": [{"says": "The intake leaks", "check": "smoke_test"}],
}
_LESSON = {
    "kind": "lesson",
    "title": "Hunting idle when cold: split intake hose",
    "symptom": "Idle hunts when cold.",
    "body": "Found: smoke-test the intake: LEAKS. The cause was a split hose behind the throttle body.",
}
_FOLLOW_UP = {"result": "came_back", "seen_on": "2026-10-23", "how": "call", "heard": "asked", "cost": 120.0}
_CHECK = {
    "name": "Command the purge valve closed",
    "question": "Does the surge stop with the purge valve closed?",
    "yes_word": "STOPS",
    "no_word": "STAYS",
    "yes_in_10_cured": 2,
    "yes_in_10_not": 6,
    "minutes": 10,
}
_UNIT = {"kind": "battery_support_unit", "name": "Unit 2", "details": "100 A, clean"}
_SUBSCRIPTION = {
    "make": "Tarn",
    "kind": "programming",
    "price": 45.0,
    "bought_on": "2026-10-29",
    "ends_on": "2026-10-31",
}

EXAMPLES: dict[str, Any] = {
    "sign_in": {"name": "tech", "password": "a long one of your own"},
    "add_user": {"name": "ines", "display_name": "Ines", "role": "tech", "password": "a long one of hers"},
    "read_it": {"text": "VIN 1TVEL22HXKW000417\nECM  cal ID 0447B  CVN 1A2B3C4D\nP0171 pending"},
    "change_user": {"version": 1, "display_name": "Ines", "role": "lead"},
    "set_password": {"password": "a long one of your own"},
    "what_if": {
        "updates": [{"name": "Vell-22", "chance": 0.4, "cost": 150}],
        "diagnosis_cost": 320,
        "rework_cost": 60,
        "checks": [{"name": "smoke", "yes_if_cured": 0.1, "yes_if_not": 0.5, "cost": 60}],
    },
    "open_concern": _CONCERN,
    "change_concern": {"version": 1, **_CONCERN},
    "put_calibration": {"calibration_id": "0447B", "source": "typed", "confirmed": True},
    "put_look_up": {"looked_up_on": "2026-10-29", "newest_id": "0447D"},
    "wait_for": {"waiting_for": "part", "remark": "intake hose, Tuesday"},
    "put_gate": {"result": "fine", "value": "12.6 V"},
    "put_codes": {"codes": "P0171 P0300", "codes_scanned": "stored"},
    "put_finding": {"result": "no"},
    "put_recall_look_up": {"result": "none_open"},
    "put_recall": {"result": "not_for_this_vin"},
    "decide": {"did": "reflash", "why_not": "the customer waits"},
    "use_counts": {"version": 3},
    "lift_stop": {"reason": "The module is original: its label was read."},
    "override_cost": {"value": 12.5, "why": "The module is out of the car already."},
    "settle_prep": {"measured": "13.2"},
    "confirm_window": {"source": "printed in the programming instruction, page 2"},
    "release_vehicle": {"reason": "The customer needs it tonight.", "customer_told": True},
    "settle_release": {"answer": "not_required", "source": "the module's instruction"},
    "record_programming": {
        "performed_on": "2026-10-29",
        "minutes": 40,
        "duplicated_before": "yes",
        "modules": [
            {
                "module": "PCM",
                "result": "completed",
                "update_id": 2,
                "calibration_before": "0447B",
                "calibration_after": "0447D",
                "concern_ids": [897],
            }
        ],
    },
    "record_road_test": {"road_test": "gone", "duplicated_before": "yes"},
    "record_follow_up": _FOLLOW_UP,
    "answer_about_earlier": {"said": "still_fixed"},
    "correct_follow_up": {"version": 1, **_FOLLOW_UP},
    "promise_call": {"on": "2026-11-05"},
    "close_concern": {"ending": "cured_by_reflash"},
    "authorize": {
        "amount": 350.0,
        "who": "the customer",
        "how": "phone",
        "told_may_not_cure": True,
        "declined": False,
    },
    "record_payment": {"kind": "billed", "amount": 180.0, "who_paid": "customer"},
    "write_note": _NOTE,
    "read_paper": {
        "text": "BULLETIN NUMBER: 16-23-044\nMODELS: 2016-2019 Tarn Vell 2.0 T\nCONDITION\nSurges."
    },
    "change_note": {"version": 1, "why": "2018 is another hardware", **_NOTE},
    "publish_note": {"version": 1},
    "retire_note": {"version": 2, "why": "replaced by a newer bulletin"},
    "look_for_alike": _NOTE,
    "look_at_note": {"version": 1, "again_on": "2027-05-01"},
    "restore_note": {"version": 3, "old_version": 1},
    "plan_bulk": {"action": "set_module", "ids": [11, 12], "module": "TCM"},
    "change_notes": {
        "action": "retire",
        "whole_list": {"kind": "bulletin", "make": "Tarn"},
        "why": "no Tarn comes here any more",
        "expected": 14,
    },
    "merge_notes": {"duplicate_id": 31},
    "propose": {"kind": "lesson", "concern_id": 897, "lesson": _LESSON},
    "publish_lesson": {"version": 1, "answer": "Good catch."},
    "correct_note": {"version": 1, "note_version": 1, "note": _NOTE, "answer": "You are right."},
    "add_proposed_check": {"version": 1, "check": _CHECK},
    "decline": {"version": 1, "answer": "We have that one: Vell-22."},
    "withdraw": {"version": 1},
    "add_shop_talk": {"concept": "surge", "phrase": "kangaroos"},
    "add_family": {"make": "Tarn", "names": ["Vell", "Vell Estate"]},
    "answer_alarm": {"remark": "Smoke test before every one.", "which": "past"},
    "answer_reflashes_read": {"answer": "take", "update": "Vell-22", "road_test": "gone"},
    "import_file": {"file": "history.csv", "format": "history", "dry_run": True},
    "change_setting": {"value": 30, "source_line": "timed on ten vehicles"},
    "add_check": _CHECK,
    "change_check": {"version": 1, **_CHECK},
    "add_equipment": _UNIT,
    "change_equipment": {"version": 1, **_UNIT},
    "add_requirement": {"make": "Tarn", "place": "battery", "text": "Hold 13.0 to 13.8 V.", "unit": "V"},
    "add_subscription": _SUBSCRIPTION,
    "change_subscription": {"version": 1, **_SUBSCRIPTION},
    "add_plan_offer": {"make": "Tarn", "days": 3, "price": 45.0},
}
