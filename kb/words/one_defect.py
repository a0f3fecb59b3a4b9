"""By what recalls are known to be of one defect, read from their own texts.

Two recalls that share a key are of one defect: the manufacturer's campaign that both are named by, a recall
that the other supersedes, supplements or repeats, or the same long text on what is wrong. A campaign must be
a recall's own, not a stray mention: letters are filed under the wrong number now and then, or misspell it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import blake2b
from typing import NamedTuple

from kb.nouns.vehicles import Coverage, fold_id

OWN = 0.25
"""What is named in at least this share of the documents that name anything is the recall's own."""
LONG_ENOUGH = 20
"""So many words, the same in both, make one text on a defect the repetition of another."""

_CODE = re.compile(r"\b(?:[A-Za-z]{1,5}-?)?[0-9][A-Za-z0-9-]*")
_RECALL = re.compile(r"\d\d([VETCX])\d{3}(?:000)?")
_BEFORE = re.compile(
    r"(?:^\W*|\b(?:recalls?|campaigns?)(?: number| no\.?| code| id)?[ :#(]*)$", re.IGNORECASE
)
_BEHIND = re.compile(
    r"\)?\s+(?:safety\s|compliance\s|emissions?\s)?\s*(?:recall|campaign|re-?notif|owner|interim|dealer|supplement)",
    re.IGNORECASE,
)
_SAYS_SO = re.compile(
    r"""supersed|replac(?:es|ed|ing)\s+(?:safety\s+|previous\s+|prior\s+)*recall|expan(?:d|sion)|supplement|
    \brecalls\b|in\s+addition\s+to|same\s+as|returning\s+after|previous|prior\s|earlier|reopen|again|following\s+(?:the\s+)?\w*\s*recall|
    not\s+(?:have\s+)?(?:been\s+)?(?:\w+\s+)?(?:correctly|properly|performed|completed|received)""",
    re.IGNORECASE | re.VERBOSE,
)
_NEAR = 120
"""So many letters from a recall's number, either way, it is told what has become of it."""
_NAMING = 20
"""In so many letters before a code it is said to be a recall's or campaign's."""
_NO_CAMPAIGN = re.compile(
    r".{1,2}|57[379]|(?:19|20)\d\d(?:(?:19|20)?\d\d|\d{4})?|\d+(?:ST|ND|RD|TH)|\d{1,2}[A-Z]{3}\d{2,4}|\d{4}"
)
"""Years, dates, ordinals, and the parts of 49 CFR that rule letters and reports (573, 577, 579)."""
_RISK = re.compile(r"\b(?:risk|crash|fire|injur|hazard|explo|ruptur)")
_FAULT = re.compile(r"\b(?:may|could|can|might|was not|were not)\b")
_LETTER = re.compile(r"\b(?:please find|notice is sent|contact|attached)\b")
_WORD = re.compile(r"[a-z]+")


def defect_keys(number: str, documents: Sequence[str], coverage: Coverage = ()) -> frozenset[str]:
    """What a recall is known by; recalls with a key in common are of one defect.

    `coverage` tells whose campaigns are meant (two makers may use one code) and which codes are models.
    """
    own, makes = _folded(number), {_folded(line.make) for line in coverage} or {""}
    models = {_folded(line.model) for line in coverage}
    mentions = [list(_mentions(text)) for text in documents]
    named = [{one.code for one in some if one.names} - models for some in mentions]
    often = OWN * sum(map(bool, named))
    codes = {code for code, many in Counter(code for some in named for code in some).items() if many >= often}
    keys = {f"{code} of {make}" for code in {*codes, own} if code for make in makes}
    keys |= {code for code in {own, *codes} if _RECALL.fullmatch(code) and (code == own or "E" in code)}
    keys |= {one.code for some in mentions for one in some if one.superseded}
    return frozenset(keys.union(filter(None, map(_told, documents))))


def recall_number(number: str) -> str:
    """A number that the government gives recalls, as it is printed: "20v-177" is 20V177; empty for others."""
    folded = _folded(number)
    return folded if _RECALL.fullmatch(folded) else ""


class _Mention(NamedTuple):
    """A folded code in a document; whether it names what the document is of, or a recall that this one
    supersedes, supplements or repeats.
    """

    code: str
    names: bool
    superseded: bool


def _mentions(text: str) -> Iterable[_Mention]:
    for one in _CODE.finditer(text):
        printed, begins, ends = one[0], one.start(), one.end()
        code, is_recall = _as_recall(printed.upper().replace("-", ""))
        if not _NO_CAMPAIGN.fullmatch(code):
            before = _BEFORE.search(text, max(0, begins - _NAMING), begins)
            told = is_recall and _SAYS_SO.search(text, max(0, begins - _NEAR), ends + _NEAR)
            yield _Mention(code, bool(before or _BEHIND.match(text, ends)), bool(told))


def _told(text: str) -> str:
    """A text on what is wrong, as one short key; empty where it is none, or too short to tell it from
    another. Figures do not count.
    """
    small = text.lower()
    if not (_RISK.search(small) and _FAULT.search(small)) or _LETTER.search(small):
        return ""
    said = _WORD.findall(small)
    if len(said) < LONG_ENOUGH:
        return ""
    return blake2b(" ".join(said).encode(), digest_size=8).hexdigest()


def _folded(code: str) -> str:
    """A number for comparing: "20v-177", "20V177" and "20V177000" are one."""
    return _as_recall(fold_id(code))[0]


def _as_recall(plain: str) -> tuple[str, bool]:
    """A folded number, that of a recall in its short form, and whether it is one."""
    is_recall = _RECALL.fullmatch(plain) is not None
    return (plain[:6] if is_recall else plain), is_recall
