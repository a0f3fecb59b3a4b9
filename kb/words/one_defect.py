"""By what recalls are known to be of one defect, read from their own texts.

Two recalls that share a key are of one defect: the manufacturer's campaign that both are named by, a recall
that the other supersedes, supplements or repeats, or the same long text on what is wrong. A campaign must be
a recall's own, not a stray mention: letters are filed under the wrong number now and then, or misspell it.
"""

from __future__ import annotations

import re
import string
from bisect import bisect_right
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import lru_cache
from hashlib import blake2b
from itertools import accumulate, chain
from typing import NamedTuple

from kb.nouns.vehicles import Coverage, fold_id
from kb.words.normalise import SEPARATOR, in_small_letters

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
_MAY_NAME_NEXT = tuple(
    re.compile(before + r"\n?(?:[a-z]{1,5}-?)?[0-9]")
    for before in (
        rf"{SEPARATOR}\W*",
        *(rf"{one}s?(?: number| no\.?| code| id)?[ :#(]*" for one in ("recall", "campaign")),
    )
)
_MAY_BE_NAMED = re.compile(
    r"""[0-9](?<![0-9]{2})(?:-*[0-9]-*[vetcx]-*[0-9] | [a-z0-9-]*+\)?\s++(?:
    safety|compliance|emission|recall|campaign|re-?notif|owner|interim|dealer|supplement))""",
    re.VERBOSE,
)
"""All that has a code before `_BEFORE`, `_BEHIND`, or in the form of a recall's, has one of these, in small
letters. They begin with signs that Python looks for fast.
"""
_CODE_SIGNS = frozenset(string.ascii_letters + string.digits + "-")
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
_RISKS = ("risk", "crash", "fire", "injur", "hazard", "explo", "ruptur")
_WORD_BEGINS = re.compile(r"\b")
_FAULT = re.compile(r"\b(?:may|could|can|might|was not|were not)\b")
_IN_LETTERS = ("please find", "notice is sent", "contact", "attached")
_LETTER = re.compile(rf"\b(?:{'|'.join(_IN_LETTERS)})\b")
_LETTERS_ALONE = bytes(one if one in string.ascii_lowercase.encode() else ord(" ") for one in range(256))


def defect_keys(number: str, documents: Sequence[str], coverage: Coverage = ()) -> frozenset[str]:
    """What a recall is known by; recalls with a key in common are of one defect.

    `coverage` tells whose campaigns are meant (two makers may use one code) and which codes are models.
    """
    own, makes = _folded(number), {_name(line.make) for line in coverage} or {""}
    models = {_name(line.model) for line in coverage}
    read = _Read.of(documents)
    mentions = _mentions(read)
    named = [{one.code for one in some if one.names} - models for some in mentions]
    often = OWN * sum(map(bool, named))
    codes = {code for code, many in Counter(chain.from_iterable(named)).items() if many >= often}
    keys = {f"{code} of {make}" for code in {*codes, own} if code for make in makes}
    keys |= {code for code in {own, *codes} if _RECALL.fullmatch(code) and (code == own or "E" in code)}
    keys |= {one.code for some in mentions for one in some if one.superseded}
    return frozenset(keys.union(_told(read)))


def recall_number(number: str) -> str:
    """A number that the government gives recalls, as it is printed: "20v-177" is 20V177; empty for others."""
    folded = _folded(number)
    return folded if _RECALL.fullmatch(folded) else ""


class _Read(NamedTuple):
    """Texts; all of them in small letters as one, a sign before each, and where each begins in that."""

    texts: Sequence[str]
    small: str
    begins: Sequence[int]

    @classmethod
    def of(cls, texts: Sequence[str]) -> _Read:
        small = in_small_letters("".join([SEPARATOR + text for text in texts]))
        return cls(texts, small, [*accumulate((len(text) + 1 for text in texts[:-1]), initial=1)])


class _Mention(NamedTuple):
    """A folded code in a document; whether it names what the document is of, or a recall that this one
    supersedes, supplements or repeats.
    """

    code: str
    names: bool
    superseded: bool


def _mentions(read: _Read) -> Iterable[Collection[_Mention]]:
    """The codes that may be a campaign's or a recall's, text by text that has any."""
    found: dict[int, dict[int, _Mention]] = {}
    for place in _likely(read.small):
        at = bisect_right(read.begins, place) - 1
        text, begins = read.texts[at], place - read.begins[at]
        while begins and text[begins - 1] in _CODE_SIGNS:
            begins -= 1
        one = _CODE.search(text, begins)
        some = found.setdefault(at, {})
        if one is not None and one.start() not in some and (mention := _mention(text, one)):
            some[one.start()] = mention
    return [some.values() for some in found.values()]


def _likely(small: str) -> Iterator[int]:
    """Places in the codes that are mentions by what stands around them, or may be. Few are, and to look
    around all of them took a fifth of making the index.
    """
    for pattern in _MAY_NAME_NEXT:
        yield from (one.end() - 1 for one in pattern.finditer(small))
    yield from (one.start() for one in _MAY_BE_NAMED.finditer(small))


def _mention(text: str, one: re.Match[str]) -> _Mention | None:
    begins, ends = one.span()
    code, is_recall = _as_recall(one[0].upper().replace("-", ""))
    if _NO_CAMPAIGN.fullmatch(code):
        return None
    names = _BEHIND.match(text, ends) or _BEFORE.search(text, max(0, begins - _NAMING), begins)
    told = is_recall and _SAYS_SO.search(text, max(0, begins - _NEAR), ends + _NEAR)
    return _Mention(code, bool(names), bool(told))


def _told(read: _Read) -> Iterator[str]:
    """Of each text on what is wrong one short key; of none that is too short to tell it from another. Figures
    do not count.
    """
    for at in sorted(_naming_risks(read)):
        small = read.small[read.begins[at] : read.begins[at] + len(read.texts[at])]
        is_letter = any(one in small for one in _IN_LETTERS) and _LETTER.search(small)
        if not is_letter and _FAULT.search(small):
            said = small.encode("ascii", "replace").translate(_LETTERS_ALONE).split()
            if len(said) >= LONG_ENOUGH:
                yield blake2b(b" ".join(said), digest_size=8).hexdigest()


def _naming_risks(read: _Read) -> set[int]:
    """Which texts hold a word that begins as one for a risk."""
    found: set[int] = set()
    for word in _RISKS:
        place = read.small.find(word)
        while place >= 0:
            if _WORD_BEGINS.match(read.small, place):
                found.add(bisect_right(read.begins, place) - 1)
            place = read.small.find(word, place + 1)
    return found


def _folded(code: str) -> str:
    """A number for comparing: "20v-177", "20V177" and "20V177000" are one."""
    return _as_recall(fold_id(code))[0]


@lru_cache(maxsize=16_384)
def _name(of_make_or_model: str) -> str:
    """Folded; the same ones stand in many notes."""
    return _folded(of_make_or_model)


def _as_recall(plain: str) -> tuple[str, bool]:
    """A folded number, that of a recall in its short form, and whether it is one."""
    is_recall = _RECALL.fullmatch(plain) is not None
    return (plain[:6] if is_recall else plain), is_recall
