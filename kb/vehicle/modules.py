"""The one table of what modules are called: which one a text speaks of, and which one a tool's list means.

The synonyms are common practice, no source: a maker's "PCM" is its ECM here, since both run the engine, and
"MCU" is the motor control unit of an electric drive.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.nouns.vehicles import fold_id

CLUSTER, BODY = "cluster", "BCM"
SHOWS_IT = "camera"
"""A text tells of its picture where another module is at fault: the other one counts."""

_NAMES: dict[str, tuple[str, ...]] = {
    "ICCU": (
        r"ICCUs?",
        r"integrated charging control unit",
    ),
    "HCU": (
        r"HCU",
        r"HPCM",
        r"hybrid (?:powertrain )?control (?:unit|module)",
        r"hybrid powertrain control",
        r"hybrid (?:vehicle )?(?:control )?ECU",
    ),
    "BMS": (
        r"BMS",
        r"BECM",
        r"battery management",
        r"battery energy control",
        r"LBC",
        r"lithium.ion battery controller",
    ),
    "inverter": (
        r"MCU",
        r"(?:hybrid )?power control unit",
        r"inverters?",
        r"motor control unit",
    ),
    "VCM": (
        r"VCM",
        r"VCU",
        r"vehicle control (?:unit|module)",
    ),
    "telematics": (
        r"telematics(?: control (?:unit|module)(?: \(TCU\))?)?",
        r"(?:data |emergency )communication (?:module|unit)",
    ),
    "TCM": (
        r"TCM",
        r"TCU",
        r"transmission control (?:unit|module)",
        r"CVT control (?:unit|module)",
    ),
    "ADAS": (
        r"RSPA",
        r"FCA(?! (?:US|campaign|recall|dealer))",
        r"smart parking",
        r"parking assist",
        r"radars?",
        r"driver.assist\w*",
        r"smart cruise",
        r"ADAS",
        r"(?:automatic|forward|intelligent)[\w -]{0,30}emergency[\w -]{0,20}braking(?: system)?",
        r"(?:automatic|forward|intelligent)[\w -]{0,30}collision[\w -]{0,20}(?:assist|avoidance)(?: system)?",
        r"AEB",
        r"FEB(?!\.|\s+\d)",
        r"ProPILOT",
        r"lane keep\w*",
    ),
    "EPB": (
        r"EPB",
        r"electronic parking brake",
    ),
    "ABS": (
        r"ABS(?:ESC)?",
        r"anti-?lock brak\w+",
        r"ESC",
        r"HECU",
        r"IEB",
        r"integrated electronic brake",
        r"electronic stability control",
        r"EBCM",
        r"electronic brake booster",
        r"VDC",
        r"(?:vehicle|dynamic) stability control",
        r"(?:brake|hydraulic|anti-?lock) (?:brake |engine |electronic |system )?control (?:unit|module)",
        r"BCM2",
    ),
    "EPS": (
        r"EPS",
        r"MDPS",
        r"(?:electric(?:ally)?|motor.driven)(?:[ -]assist(?:ed)?)? power steering",
        r"steering control (?:unit|module)",
    ),
    "SRS": (
        r"SRS",
        r"ACU",
        r"ODS",
        r"OCS",
        r"occupant (?:detection|classification)[\w ]*",
        r"air ?bags? (?:control (?:unit|module)|sensor|computer)",
        r"SDM",
        r"sensing (?:and )?diagnostic module",
        r"restraints? control (?:unit|module)",
    ),
    "shifter": (
        r"SCU",
        r"shift(?:er)? control (?:unit|module)",
        r"shift.by.wire",
    ),
    "trailer": (
        r"(?:trailer|tow(?:ing)?)[\w -]{0,12} (?:modules?|control\w*|harness(?:es)?)",
        r"trailer light\w*",
    ),
    "door": (
        r"power (?:sliding )?(?:door|lift ?gate|tail ?gate)s?",
        r"sliding door",
        r"(?:driver |passenger )?door (?:control )?modules?",
        r"PSD",
        r"power windows?",
        r"window (?:control|lifter|one.touch)",
        r"DDM",
    ),
    SHOWS_IT: (
        r"(?:rear|back.?up|around|surround|panoramic|360)[\w -]{0,8} ?(?:view )?monitor(?:s|ing)?",
        r"cameras?(?!\s+(?:image|display|function|view|system))",
        r"RVC",
        r"SVM",
        r"AVM",
        r"rear ?view (?:image|display)\w*",
        r"parking aid camera",
        r"image processing module",
    ),
    "infotainment": (
        r"IVI",
        r"in.vehicle infotainment",
        r"infotainment",
        r"AV control",
        r"AVN",
        r"head ?unit",
        r"cockpit control module",
        r"CCM",
        r"(?:cent(?:er|re)|central) (?:information )?display",
        r"audio (?:unit|display|system)",
        r"display audio",
        r"radio(?= (?:software|module|unit|update|control|programming))",
        r"accessory protocol interface module",
        r"APIM",
        r"multimedia",
        r"navigation (?:unit|system)",
    ),
    CLUSTER: (
        r"(?<!on the )(?:instrument|LCD|meter|gauge)[\w -]{0,12} ?clusters?",
        r"(?<!on the )(?<!on the instrument )clusters?",
        r"(?<!on the )combi(?:nation)? ?meters?",
        r"(?:digital )?instrument panels?(?: \(ip\))? (?:clusters?|displays?|control unit)",
        r"dashboard (?:display|unit|module)",
        r"dashboard(?= software)",
        r"(?:digital |virtual )?cockpit (?:unit|display)(?: module)?(?: \(vcu\))?",
        r"ICUC",
    ),
    BODY: (
        r"BCM",
        r"IBU",
        r"body (?:domain )?control (?:unit|module)",
        r"integrated body (?:control )?unit",
        r"BDC",
        r"IGPM",
        r"ICU junction",
        r"smart junction (?:block|box)",
        r"central electronic module",
        r"CEM",
        r"Dash.ESU",
        r"dash electrical supply unit",
        r"IPDM",
    ),
    "ECM": (
        r"ECM",
        r"PCM",
        r"engine control(?: unit| module)?",
        r"engine management",
        r"powertrain control module",
        r"KSDS",
        r"knock sensor detection",
        r"engine (?:computer|ECU)",
        r"(?:high pressure )?fuel pump control module",
    ),
}
_LISTED = {
    CLUSTER: r"IPCM?|ICM?|ICU|CCN|DIM|INSTRUMENT.*|COMBI.*|METER.*",
    BODY: r"BCU|GEM|SJB|BODY.*",
}
"""Names too short or too common to mean a module in a text, but by which tools list one (from memory)."""

_WIRING = r"\s*(?:\([^)]*\)\s*)?(?:wir\w+\s+)?(?:harness|cable|connector|fuse|bolt)"
"""A thing that belongs to a module and is none itself."""

_IN_ORDER = tuple(_NAMES)
_ONE_OF = "|".join(rf"(?P<m{i}>{'|'.join(names).lower()})" for i, names in enumerate(_NAMES.values()))
_FINDER = re.compile(rf"\b(?:{_ONE_OF})s?\b(?!{_WIRING})")
"""For texts in lower case, which are read far faster than in either."""
_LIST_NAMES = {module: re.compile(said, re.IGNORECASE) for module, said in _LISTED.items()}


def modules_named(text: str) -> Iterator[tuple[int, int, str]]:
    """Where the text names a module, from and to, and which."""
    for found in _FINDER.finditer(text.lower()):
        yield found.start(), found.end(), _IN_ORDER[int((found.lastgroup or "m0")[1:])]


def modules_in(text: str) -> Iterator[tuple[int, str]]:
    """Where the text names a module, and which."""
    for start, _, module in modules_named(text):
        yield start, module


def module_called(name: str) -> str:
    """The short name of the module that a tool or a person calls so; empty for a name of none known."""
    folded = re.sub(r"[\s._-]+", " ", name).strip()
    listed = (module for module, said in _LIST_NAMES.items() if said.fullmatch(folded.replace(" ", "")))
    return next(listed, "") or next((module for _, module in modules_in(folded)), "")


def same_module(one: str, other: str) -> bool:
    """Whether two names mean one module: letter for letter, or by the table."""
    return fold_id(one) == fold_id(other) or module_called(one) == module_called(other) != ""
