"""Text as the search reads it: folded words with their places, and the trouble codes in it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from kb.words.stemming import stem

__all__ = [
    "JOINING",
    "SEPARATOR",
    "SILENT",
    "Token",
    "codes_in",
    "fold",
    "in_small_letters",
    "is_code",
    "stem",
    "tokens",
    "words",
]

SILENT = frozenset(
    (
        "a", "an", "the", "of", "to", "in", "at", "is", "was", "it", "its", "im", "ive", "my", "me", "i",
        "we", "you", "your", "he", "she", "his", "her", "our", "they", "their", "this", "that", "these",
        "those", "be", "been", "being", "am", "are", "were", "and", "or", "so", "as", "by", "for", "from",
        "with", "has", "have", "had", "do", "does", "did", "w", "when", "while", "where", "which", "who",
        "whom", "would", "could", "should", "may", "might", "can", "if", "then", "than", "there", "here",
        "just", "really", "very", "kinda", "sorta", "thing", "things", "stuff", "like", "u", "r", "n", "ya",
        "us", "them", "him", "s", "t", "d", "ll", "re", "ve",
    )
)  # fmt: skip
"""Words that carry nothing: they are neither scored nor part of a phrase."""

JOINING = frozenset(
    (
        "no", "not", "none", "never", "without", "nor", "neither", "wont", "doesnt", "dont", "didnt", "cant",
        "cannot", "isnt", "wasnt", "wouldnt", "couldnt", "arent", "werent", "hasnt", "havent", "hadnt",
        "aint", "off", "on", "out", "up", "down", "over", "under", "back", "in", "into", "onto",
        "away", "again", "all", "any", "only", "too", "after", "before", "during", "until", "still", "some",
        "one", "go", "goes", "going", "went", "doing", "doin", "get", "gets", "getting",
        "got", "come", "comes", "coming", "came", "keep", "keeps", "put", "puts", "take", "takes", "took",
        "make", "makes", "made", "let",
        "lets", "will", "also", "but", "because", "about", "around", "through", "now", "today", "yesterday",
        "tomorrow", "day", "days", "week", "weeks", "month", "months", "last", "next", "ago", "later",
        "soon", "already", "since", "little", "big", "whole", "bit", "lot", "lots", "couple", "few",
        "several", "every", "each", "always", "usually", "often", "ever", "once", "twice", "almost",
        "nearly", "maybe", "probably", "guess", "think", "thought", "know", "knew", "feel", "feels",
        "feeling", "felt", "see", "saw", "seen", "look", "looks", "looking", "seem", "seems", "say", "says",
        "saying", "said", "tell", "tells", "told", "ask", "asked", "want", "wants", "wanted", "need",
        "needs", "needed", "try", "tries", "tried", "trying", "use", "uses", "used", "using", "happen",
        "happens", "happened", "happening", "same", "other", "another", "own", "right", "kind", "sort",
        "way", "else", "even", "though", "well", "ok", "okay", "please", "thanks", "guy", "guys", "wife",
        "husband", "kid", "kids", "friend", "son", "daughter", "dad", "mom", "brother", "people", "person",
        "anyone", "someone", "nobody", "everybody", "everything", "something", "anything", "nothing",
        "customer", "states", "cust", "concern", "issue", "issues", "problem", "problems", "advise",
        "check", "buddy", "neighbor", "neighbors", "boss",
    )
) - SILENT  # fmt: skip
"""Words that count in phrases ("cuts out", "no crank") and are not scored alone."""

SEPARATOR = "\x01"
"""Stands between texts that are folded together; folding keeps it."""

_CODE = re.compile(r"^([pcbu][0-3][0-9a-f]{3})([0-9a-f]{2})?$")


def is_code(word: str) -> bool:
    """Whether a text is nothing but a trouble code, however it is parted: "P0741", "p 0741-00"."""
    return _CODE.match(re.sub(r"[\W_]", "", word).lower()) is not None


_DROPPED = "'`\u2019\u2018\u00ae\u2122"
_CODE_IN_TEXT = re.compile(
    r"(?<![a-z0-9])([pcbu])[ -]?([0-3][0-9a-f]{3})(?:[-: ]?([0-9a-f]{2}))?(?![a-z0-9])"
)


class _Spaces(dict[int, int | str | None]):
    """Every sign that is neither letter nor digit becomes a space; apostrophes vanish."""

    def __missing__(self, sign: int) -> int | str | None:
        letter = chr(sign)
        kept: int | str | None = sign if letter.isalnum() or letter == SEPARATOR else " "
        if letter in _DROPPED or unicodedata.combining(letter):
            kept = None
        self[sign] = kept
        return kept


_TABLE = _Spaces()


@dataclass(frozen=True, slots=True)
class Token:
    """A folded word and where it stands in the text as written (start inclusive, end exclusive)."""

    text: str
    start: int
    end: int


def fold(text: str) -> str:
    """Lower case, accents off, punctuation to spaces, apostrophes gone: "Won't" and "wont" are one.

    "He's" is no "hes", which is short for hesitating.
    """
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text)
    text = text.lower()
    if "/" in text:  # one sign is looked for much faster than three: every text on file comes through here
        text = text.replace("a/c", "ac").replace(" w/o ", " without ")
    if "'" in text or "\u2019" in text:
        text = text.replace("he's", "he").replace("he\u2019s", "he")
    return text.translate(_TABLE)


def in_small_letters(text: str) -> str:
    """Every letter small and in its place: of the few that grow to two signs, the first."""
    small = text.lower()
    return small if len(small) == len(text) else "".join(one.lower()[0] for one in text)


def words(text: str) -> list[str]:
    """The folded words of a text in order."""
    return fold(text).split()


def tokens(text: str) -> list[Token]:
    """The words of a text with their places in it; the same words as `words` for plain text."""
    found: list[Token] = []
    for match in re.finditer(r"[^\W_]+(?:['`\u2019][^\W_]+)*(?:/c\b)?", text):
        found.extend(Token(word, match.start(), match.end()) for word in words(match.group()))
    return found


def codes_in(text: str) -> tuple[str, ...]:
    """Trouble codes in a text, upper case, failure type after a hyphen: "p0300", "U0100-87". Each once."""
    found = dict.fromkeys(
        (letter + rest + (f"-{kind}" if kind and not kind.isalpha() else "")).upper()
        for letter, rest, kind in _CODE_IN_TEXT.findall(text.lower())
    )
    return tuple(found)
