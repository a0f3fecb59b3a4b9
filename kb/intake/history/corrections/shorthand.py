"""A technician's text in whole words: shorthand written out, slips put right, every word with its place.

"reprog'd TCM w/ latest sw" is read as "reprogrammed tcm with latest software"; words are in shorthand.toml.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz.distance import OSA

from kb.nouns.word_files import word_file
from kb.words.english import english_words

_ARROW = "becomes"
_IS_ARROW = re.compile(r"-+>|=+>|[\u2192\u21d2\u279c\u27a1]|>+")
_IN_TWO = r"(?<!pick.)(?<!follow.)\b(?:up dat(?:e|es|ed|ing)|re (?:flash|program)\w*|soft ware)\b"
_WORD = re.compile(
    rf"{_IS_ARROW.pattern}|(?i:{_IN_TWO})"
    r"|[^\W_]+(?:[-'\u2019`&/@][^\W_]+|\.(?=\d)(?<=\d\.)\d[^\W_]*)*(?:/(?=\s|$))?|[^\s\w]|_"
)
_DIGIT, _JOINT = re.compile(r"\d"), re.compile(r"[-/&@]")
_JOINTS, _SLASHES = re.compile(r"[^-/&@]+"), re.compile(r"[^/&@]+")
_APOSTROPHES = str.maketrans("", "", "'\u2019`")
_LONG = 8
_SHORTEST_SLIP, _SHORTEST_BONES = 5, 4


@dataclass(frozen=True, slots=True)
class Words:
    """`read` is the text in whole words, one blank between them; the word that begins there at `starts[n]`
    stands in the text as written from `places[n][0]` to `places[n][1]`.
    """

    read: str
    starts: tuple[int, ...]
    places: tuple[tuple[int, int], ...]

    def place(self, start: int, end: int) -> tuple[int, int]:
        """Where the words of `read` from `start` to `end` stand in the text as written."""
        first = max(bisect_right(self.starts, start) - 1, 0)
        last = max(bisect_right(self.starts, end - 1) - 1, first)
        return self.places[first][0], self.places[last][1]


def whole_words(text: str) -> Words:
    """The text read word by word; of a number or a sign as it stands, in small letters."""
    read: list[str] = []
    starts: list[int] = []
    places: list[tuple[int, int]] = []
    at = 0
    for word, start, end in _pieces(text):
        read.append(word)
        starts.append(at)
        places.append((start, end))
        at += len(word) + 1
    return Words(" ".join(read), tuple(starts), tuple(places))


def _pieces(text: str) -> Iterator[tuple[str, int, int]]:
    """Words joined by a slash or a hyphen are read one by one where they are none together."""
    for found in _WORD.finditer(text):
        if _IS_ARROW.fullmatch(found[0]):
            yield _ARROW, found.start(), found.end()
        elif whole := _as_one(found[0]):
            yield whole, found.start(), found.end()
        else:
            joints = _SLASHES if _DIGIT.search(found[0]) else _JOINTS
            for part in joints.finditer(found[0]):
                begin, end = found.start() + part.start(), found.start() + part.end()
                yield _known(part[0].lower()) or _spelled(part[0].lower()), begin, end


def _as_one(written: str) -> str:
    """The word that it is as a whole ("up dated"), or empty where it is several; "05-006/18" is one."""
    word = written.lower().replace(" ", "")
    known = _known(word)
    if known or not _JOINT.search(word):
        return known or _spelled(word)
    if _DIGIT.search(word):
        parts = re.split(r"[/&@]", word)
        return word.translate(_APOSTROPHES) if all(map(_DIGIT.search, parts)) else ""
    right = _spelled(word)
    return right if right != word.translate(_APOSTROPHES) else ""


def _known(word: str) -> str:
    plain = word.translate(_APOSTROPHES)
    joined = plain.replace("-", "")
    return next((_SHORT[one] for one in (word, plain, joined) if one in _SHORT), "")


@lru_cache(maxsize=1 << 14)  # a history says the same words again and again, and ever new numbers
def _spelled(word: str) -> str:
    """The word with its slip put right or written out ("rflshd"), or as it stands."""
    plain = word.translate(_APOSTROPHES)
    joined = plain.replace("-", "")
    if joined in _SPELLED:
        return joined
    if not joined.isalpha() or len(joined) < _SHORTEST_BONES or english_words().is_usual(joined):
        return plain
    return _written_out(joined) or _put_right(joined) or plain


def _written_out(word: str) -> str:
    """The shortest word that has these letters in this order, the first and the last among them."""
    ends = word[0], word[-1]
    meant = (one for one in _SPELLED if (one[0], one[-1]) == ends and _has_in_order(one, word))
    return min(meant, key=len, default="")


def _has_in_order(word: str, letters: str) -> bool:
    rest = iter(word)
    return all(letter in rest for letter in letters)


def _put_right(word: str) -> str:
    if len(word) < _SHORTEST_SLIP:
        return ""
    room = 2 if len(word) >= _LONG else 1
    near = [(OSA.distance(word, one, score_cutoff=room), one) for one in _SPELLED if one[0] == word[0]]
    best = min(near, default=(room + 1, ""))
    return best[1] if best[0] <= room else ""


def _tables() -> tuple[Mapping[str, str], tuple[str, ...]]:
    file = word_file("kb.intake.history.corrections", "shorthand.toml")
    short = {
        way: meant.replace("_", " ") for meant, ways in file["short"].items() for way in str(ways).split()
    }
    return short, tuple(str(file["spelled"]["words"]).split())


_SHORT, _SPELLED = _tables()
