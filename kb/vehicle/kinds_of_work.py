"""Which kinds of work programming a module is, by what the module is called. Common practice, no source.

A plain update needs no security access at many makes; where one does, its own instructions say so.
"""

from __future__ import annotations

import re

from kb.nouns.shop.sign_offs import WorkKind, in_order
from kb.vehicle.modules import BODY, module_called

AIRBAG_MODULES = frozenset({"SRS"})
HIGH_VOLTAGE_MODULES = frozenset({"BMS", "HCU", "ICCU", "inverter"})
PAIRED_WHEN_REPLACED = frozenset({"ECM", BODY})
"""A new one of these has to be paired with keys or immobilizer before the engine starts."""
_SECURITY = re.compile(
    r"immo\w*|\w*gateway\w*|s?gwm?|keyless\w*|(?:smart|proximity)?\s*keys?|steering lock\w*|escl",
    re.IGNORECASE,
)


def kinds_of_work(module: str, *, replaced: bool) -> tuple[WorkKind, ...]:
    """An update or a replaced module, and what else it takes: security, high voltage, airbag.

    A module that nobody named yet is only the first.
    """
    called = module_called(module)
    kinds = {WorkKind.REPLACED_MODULE if replaced else WorkKind.UPDATE}
    if called in AIRBAG_MODULES:
        kinds.add(WorkKind.AIRBAG)
    if called in HIGH_VOLTAGE_MODULES:
        kinds.add(WorkKind.HIGH_VOLTAGE)
    if (replaced and called in PAIRED_WHEN_REPLACED) or _names_security(module):
        kinds.add(WorkKind.SECURITY)
    return in_order(kinds)


def _names_security(module: str) -> bool:
    words = re.sub(r"[_.\-]+", " ", module).strip()
    return any(_SECURITY.fullmatch(one) for one in (words, *words.split()))
