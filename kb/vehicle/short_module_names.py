"""What the trade calls for short what a paper writes out (common practice, no source)."""

from __future__ import annotations

import re

_SHORT = (
    (r"battery energy control\b.*", "BECM"),
    (r"battery management\b.*", "BMS"),
    (r"powertrain control module", "PCM"),
    (r"engine (?:control|management|computer|ECU)\b.*", "ECM"),
    (r"transmission control unit", "TCU"),
    (r"(?:transmission|CVT) control\b.*", "TCM"),
    (r"telematics.*", "TCU"),
    (r"smart junction (?:block|box)", "SJB"),
    (r"body (?:domain )?control\b.*", "BCM"),
    (r"central electronic module", "CEM"),
    (r"electronic parking brake", "EPB"),
    (r"(?:anti-?lock brak\w+|hydraulic|brake) ?control\b.*|anti-?lock brak\w+", "ABS"),
    (r"electronic brake control module", "EBCM"),
    (r"(?:electronic|vehicle|dynamic) stability control", "ESC"),
    (r"(?:electric\w*|motor.driven)[\w -]* power steering|steering control\b.*", "EPS"),
    (r"air ?bags? control unit", "ACU"),
    (r"(?:air ?bags?|restraints?) .*", "SRS"),
    (r"sensing (?:and )?diagnostic module", "SDM"),
    (r"integrated charging control unit", "ICCU"),
    (r"hydraulic electronic.*", "HECU"),
    (r"occupant classification.*", "OCS"),
    (r"occupant detection.*", "ODS"),
    (r"hybrid control unit|hybrid.*", "HCU"),
    (r"motor control unit", "MCU"),
    (r"vehicle control unit", "VCU"),
    (r"vehicle control module", "VCM"),
    (r"shift(?:er)? control\b.*", "SCU"),
    (r"(?:instrument|LCD|meter|gauge)[\w -]* ?clusters?|clusters?|instrument panel.*|combi.*", "IPC"),
    (r"in.vehicle infotainment", "IVI"),
    (r"cockpit control module", "CCM"),
    (r"accessory protocol interface module", "APIM"),
    (r"integrated body.*", "IBU"),
    (r"driver door.*", "DDM"),
)
_SHORT_NAMES = tuple((re.compile(said, re.IGNORECASE), short) for said, short in _SHORT)


def short_name(printed: str) -> str:
    """What the trade calls a module for short; the name as it is printed where it has no other."""
    said = " ".join(printed.split())
    return next((short for form, short in _SHORT_NAMES if form.fullmatch(said)), said)
