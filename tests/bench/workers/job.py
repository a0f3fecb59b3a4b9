"""The whole job of a technician, form by form and call by call, sent by whoever is handed in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from tests.web.browsing import Page

Send = Callable[[str, str, Mapping[str, Any]], None]
"""Sends a form: the page that it stands on, its address, what is typed into it."""
Call = Callable[[str, str, Mapping[str, Any]], None]
"""Makes a call: method, path, body."""

ROAD_TEST, AFTER = "gone", "NV10B"


@dataclass(frozen=True)
class Hands:
    """What the job is done with: `see` reads a page, `send` sends a form."""

    see: Callable[[str], Page]
    send: Send
    today: date


def by_forms(hands: Hands) -> int:
    """One concern from the counter to the first answer on the phone; gives how many forms were sent."""
    at, sent = "/concerns/1", 0

    def send(page: str, action: str, **typed: Any) -> None:
        nonlocal sent
        sent += 1
        hands.send(page, action, typed)

    send(
        "/concerns/new",
        "/concerns/new",
        ro_number="2087",
        complaint="bucks n jerks lite throtle goin uphill only wen warm",
        conditions=["warm engine"],
        codes="P0171",
        year="2019",
        make="Norvane",
        model="Tessel",
    )
    send(at, f"{at}/calibrations", module="PCM", calibration_id="NV10A", source="read")
    send(at, f"{at}/look-ups", module="PCM", looked_up_on=str(hands.today), newest_id=AFTER)
    send(at, f"{at}/codes", codes="P0171 P0300", codes_scanned="stored")
    send(at, f"{at}/findings", check="smoke_test", result="no")
    send(at, f"{at}/gates", gate="battery", result="fault")
    send(at, f"{at}/lift", stop="battery", reason="on a support unit now")
    send(at, f"{at}/next", what="call the customer", who="")
    send(at, f"{at}/clocks", kind="soak", until="")
    send(at, "/clocks/1/end")
    send(at, f"{at}/waiting", waiting_for="customer_ok", remark="")
    money = f"{at}/authorization"
    said = {"amount": "180", "who": "Ines Tovar", "how": "phone", "if_not_cured": "credited"}
    send(money, money, **said)
    send(money, f"{at}/payments", kind="billed", paid="95", who_paid="customer")
    send(at, f"{at}/decide", did="reflash", why=["customer insists"])
    sent += _prepared(hands, at)
    send(
        f"{at}/programming",
        f"{at}/programming",
        module_1="PCM",
        result_1="completed",
        after_1=AFTER,
        after_source_1="read",
        duplicated_before="yes",
        road_test=ROAD_TEST,
        minutes="50",
    )
    release = f"{at}/release"
    send(release, release, item="release-cameras", result="required_not_done")
    send(release, f"{release}/go", reason="the glass shop does it on Monday", customer_told="yes")
    send(f"{at}/close", f"{at}/close", ending="cured_by_reflash")
    send(f"{at}/follow-up", f"{at}/follow-up", result="fine", how="phone")
    return sent


def _prepared(hands: Hands, at: str) -> int:
    """Measures, signs each place and passes what blocks, then starts."""
    list_, sent = f"{at}/prep", 0
    for item, value in (("battery_rested", "12.6"), ("support_voltage", "13.4")):
        hands.send(list_, f"{list_}/tick", {"item": item, "measured": value})
        sent += 1
    while places := _waiting(hands.see(list_), f"{list_}/sign", "place"):
        hands.send(list_, f"{list_}/sign", {"place": places[0]})
        sent += 1
    while lines := _waiting(hands.see(list_), f"{list_}/pass", "item"):
        hands.send(list_, f"{list_}/pass", {"item": lines[0], "reason": "borrowed one"})
        sent += 1
    hands.send(list_, f"{list_}/start", {})
    return sent + 1


def _waiting(page: Page, action: str, name: str) -> list[str]:
    """What the forms of one address are for."""
    return [form.fields[name][0] for form in page.forms if form.action == action]


def by_calls(call: Call, concern: int, today: date) -> None:
    """The same of another concern through the interface; its opening comes first, under its own path."""
    at, day = f"/api/concerns/{concern}", str(today)
    call("PUT", f"{at}/calibrations/PCM", {"calibration_id": "NV10A", "source": "read"})
    call("PUT", f"{at}/look-ups/PCM", {"looked_up_on": day, "newest_id": AFTER})
    call("PUT", f"{at}/findings/smoke_test", {"result": "no"})
    call("PUT", f"{at}/gates/battery", {"result": "fine", "value": "12.7 V"})
    call("POST", f"{at}/decisions", {"did": "reflash", "why_not": "customer insists"})
    call("POST", f"{at}/authorizations", {"amount": 180, "who": "Ines Tovar", "if_not_cured": "credited"})
    call("POST", f"{at}/payments", {"kind": "billed", "amount": 95, "who_paid": "customer"})
    module = {"module": "PCM", "result": "completed", "calibration_after": AFTER, "concern_ids": [concern]}
    event = {"performed_on": day, "minutes": 50, "road_test": ROAD_TEST, "modules": [module]}
    call("POST", "/api/programming-events", event)
    call("POST", f"{at}/close", {"ending": "not_resolved"})
    call("POST", f"{at}/follow-ups", {"result": "fine", "seen_on": day, "how": "phone"})
