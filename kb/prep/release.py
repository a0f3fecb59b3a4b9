"""What must be settled before a vehicle leaves. The manufacturer and the law decide.

Common practice, no source, unless a line names its law (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from enum import StrEnum

from kb.errors import BadInput
from kb.nouns.typed_numbers import ungrouped
from kb.vehicle.modules import BODY, CLUSTER, module_called

DECIDES = "The manufacturer's instructions and the law decide what must be done before it leaves."
ODOMETER_LAW = (
    "The odometer reads after the work what it read before. One that cannot be set to the true mileage reads "
    "zero, and a label on the driver's door frame says the mileage before and the day "
    "(from memory, 49 USC 32704)."
)
PERMANENT = (
    "Permanent codes clear by driving only, once the vehicle's own monitors have run; no tool clears them."
)


class Cameras(StrEnum):
    """What is known of camera and radar calibration after the work; the first two alone settle it."""

    NOT_REQUIRED = "not_required"
    REQUIRED_DONE = "required_done"
    REQUIRED_NOT_DONE = "required_not_done"
    UNKNOWN = "unknown"


HOW_CALIBRATED = ("static", "drive", "static and drive")
_NEEDS = {
    Cameras.NOT_REQUIRED: {"source": "where the manufacturer says so"},
    Cameras.REQUIRED_DONE: {
        "how": "static, drive, or static and drive",
        "done_by": "who did it",
        "proof": "what proves it, such as the printout's number",
    },
}


def holds_mileage(module: str) -> bool:
    """Whether a module is a cluster or body module, which may hold the odometer."""
    return module_called(module) in (CLUSTER, BODY)


def camera_answer(answer: str, said: Mapping[str, str]) -> tuple[str, dict[str, str]]:
    """The answer with what goes with it. Raises BadInput for none, or one without its source or proof."""
    try:
        known = Cameras(answer.strip().replace(" ", "_"))
    except ValueError:
        raise BadInput(
            "Camera and radar calibration is not required, required and done, required and not done, or not "
            "known.",
            fields={"answer": "one of " + ", ".join(Cameras)},
        ) from None
    needs = _NEEDS.get(known, {})
    kept = {name: said.get(name, "").strip() for name in needs}
    wrong = {name: what for name, what in needs.items() if not kept[name]}
    if "how" in needs and kept["how"] not in HOW_CALIBRATED:
        wrong["how"] = needs["how"]
    if wrong:
        raise BadInput(f"Say {', and '.join(wrong.values())}.", fields=wrong)
    return known.value, kept


def cameras_open(answer: str) -> str:
    """What is open about the cameras, in words; empty where it is settled."""
    if answer in (Cameras.NOT_REQUIRED, Cameras.REQUIRED_DONE):
        return ""
    if answer == Cameras.REQUIRED_NOT_DONE:
        return "Camera and radar calibration: required and not done"
    return "Camera and radar calibration: not known; look it up before release"


def odometer_read(said: Mapping[str, str]) -> dict[str, str]:
    """Both readings in miles, `expected` standing for a reading before that was not typed again.

    Raises BadInput for what is no mileage, and for a difference without the door label's words.
    """
    typed = {"before": said.get("before", "") or said.get("expected", ""), "after": said.get("after", "")}
    miles = {name: ungrouped(re.sub(r"\s|mi(?:les)?\b", "", one.casefold())) for name, one in typed.items()}
    for name, digits in miles.items():
        if not re.fullmatch(r"\d{1,7}", digits):
            raise BadInput(f"Enter the odometer {name} the work, in miles.", fields={name: "miles"})
    before, after, label = int(miles["before"]), int(miles["after"]), said.get("label", "").strip()
    if before != after and not label:
        raise BadInput(
            f"{before:,} mi before and {after:,} mi after. {ODOMETER_LAW}",
            fields={"after": "not what it was before", "label": "what the door label says"},
        )
    return {"before": str(before), "after": str(after)} | ({"label": label} if before != after else {})


def cvn_read(said: Mapping[str, str]) -> dict[str, str]:
    """The CVN read again. Raises BadInput where it is not the one that the manufacturer prints."""
    read, printed = said.get("cvn", "").strip().upper(), said.get("expected", "")
    if read != printed:
        raise BadInput(
            f"The CVN after must be the manufacturer's, {printed}; read it again. Another one means that the "
            "module does not hold what the manufacturer released.",
            fields={"cvn": f"not {printed}"},
        )
    return {"cvn": read}


def printed_cvn(text: str, calibration_id: str) -> str:
    """The CVN that a text prints beside a calibration ID, in capitals; empty where it prints none."""
    if not calibration_id.strip():
        return ""
    its_id = rf"(?<![\w-]){re.escape(calibration_id.strip())}(?![\w-])"
    found = re.search(rf"{its_id}[^.;\n]{{0,40}}?\bCVN\b[\s:#=()]*([0-9A-F]{{4,16}})(?!\w)", text, re.I)
    return found[1].upper() if found else ""


def vin_read(said: Mapping[str, str]) -> dict[str, str]:
    """The VIN that the module answers with. Raises BadInput where it is not the vehicle's."""
    read, own = re.sub(r"\s", "", said.get("vin", "")).upper(), said.get("expected", "")
    if len(read) != 17 or (own and read != own):
        whose = f"{own}, this vehicle's" if own else "all 17 characters of this vehicle's"
        raise BadInput(
            f"The module must answer with {whose} VIN. Write it as the procedure says, and read it again.",
            fields={"vin": f"not {own}" if own else "17 characters"},
        )
    return {"vin": read}


def may_leave(
    open_lines: Sequence[str], bound_by_law: Sequence[str], reason: str, *, customer_told: bool
) -> None:
    """Raise BadInput where something is open and nobody answers for it, or the customer was not told."""
    if bound_by_law:
        raise BadInput(
            f"Not before this is answered: {'; '.join(bound_by_law)}. {ODOMETER_LAW}",
            fields={"odometer": "enter it before and after"},
            details={"open": list(open_lines)},
        )
    wrong = {} if reason.strip() else {"reason": "why it leaves so"}
    wrong |= {} if customer_told else {"customer_told": "tell the customer first"}
    if open_lines and wrong:
        raise BadInput(
            f"Still open: {'; '.join(open_lines)}. It leaves so only by name, with a reason, and with the "
            f"customer told. {DECIDES}",
            fields=wrong,
            details={"open": list(open_lines)},
        )
