"""What a customer is asked, and what they answered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from kb.nouns.recorded_words import WORDS

IF_NOT_CURED = tuple(WORDS["if_not_cured"])
LONGEST = MappingProxyType({"proposed": 300, "who": 120, "how": 120, "number_called": 60})
"""Characters of each text of a proposal and its answer."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the shop would do, for at most how much in minor units; `programs`: a module is programmed.

    `if_not_cured` is one of those words once somebody chose it.
    """

    proposed: str
    amount_minor: int
    if_not_cured: str = ""
    programs: bool = True


@dataclass(frozen=True, slots=True)
class CustomerWord:
    """What they are told: `told` in large letters, `script` to say, `message` to send as it stands; `law` is
    for the shop.
    """

    told: tuple[str, ...]
    script: tuple[str, ...]
    message: str
    law: str


@dataclass(frozen=True, slots=True)
class AuthorizationDraft:
    """What the customer agreed to, or declined, told that it may not cure it and that a module can fail.

    Nobody agrees without a word on what holds if it is not cured.
    """

    amount_minor: int
    who: str
    how: str = ""
    if_not_cured: str = ""
    told_may_not_cure: bool = False
    told_module_can_fail: bool = False
    declined: bool = False
    proposed: str = ""
    number_called: str = ""


@dataclass(frozen=True, slots=True)
class Authorized:
    """The same as it was written down, and when. The number called is deleted with the phone number."""

    amount_minor: int
    who: str
    how: str
    if_not_cured: str
    at: datetime
    told_may_not_cure: bool = False
    told_module_can_fail: bool = False
    declined: bool = False
    proposed: str = ""
    number_called: str = ""
