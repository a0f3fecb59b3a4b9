"""Which typed words and phrases a technician would take for a reason, whatever note they are met in.

What is said to be right ("shifts fine"), compared ("like a flat tire"), a place ("at the light"), part of a
longer phrase ("fire" in "fire extinguisher") or a word of every day that names nothing convinces nobody.
"""

from __future__ import annotations

from collections.abc import Sequence

from kb.search.belonging import TELLING
from kb.search.phrases import Phrase
from kb.search.typed import TypedWord
from kb.words.english import english_words
from kb.words.negators import NEGATORS
from kb.words.normalise import words
from kb.words.plain import plain_words

HAVERS = frozenset(words("car truck van suv vehicle bike bus engine motor eng mtr veh trk"))
"""What has a symptom that is told in one word: "engine quits", while "radio quits" is another one."""
LIGHT = "light"
GENTLE = frozenset(
    words(
        "throttle load gas acceleration accelerator accel pedal braking brake cruise rain snow traffic touch"
        " duty foot knock tap rattle bump pull pressure"
    )
)
"""What is light without being a lamp: "light throttle", "light rain"."""
FEWEST_LETTERS = 3
VAGUE = frozenset(words("motor"))
"""An engine to one and a wiper's to the other."""


class Convincing:
    """What of one complaint convinces."""

    def __init__(self, typed: Sequence[TypedWord], phrases: Sequence[Phrase]) -> None:
        self._at = {word.unit: word for word in typed}
        self._phrases = phrases

    def words(self) -> frozenset[int]:
        """Units of the words that convince where a note holds them too; a symptom does as a phrase."""
        ranked = [phrase for phrase in self._phrases if phrase.ranks]
        parts = {unit for phrase in ranked if len(phrase.units) > 1 for unit in phrase.units}
        kinds: dict[int, set[str]] = {}
        for phrase in ranked:
            kinds.setdefault(phrase.units[0], set()).add(phrase.concept.kind)
        return frozenset(
            unit
            for unit, word in self._at.items()
            for of in [kinds.get(unit, set())]
            if unit not in parts and "symptom" not in of and self._says_something(word, of)
        )

    def phrase(self, phrase: Phrase) -> bool:
        """Whether a phrase convinces where a note says the same."""
        if not (phrase.itself and phrase.ranks) or phrase.inside:
            return False
        if len(phrase.units) > 1:
            return _is_meant(phrase.first) and not self._holds_a_no(phrase)
        return self._says_something(phrase.first, {phrase.concept.kind})

    def is_plain(self, phrase: Phrase) -> bool:
        """Whether it is plain what is meant: one thing, or a symptom of nothing but the vehicle."""
        if phrase.concept.kind != "symptom":
            return phrase.shared == 1
        before = self._beside(phrase.first, -1)
        return len(phrase.units) > 1 or before is None or before.word in HAVERS or not before.tells

    def _says_something(self, word: TypedWord, kinds: set[str]) -> bool:
        if (
            "filler" in kinds
            or word.word in VAGUE
            or not word.word.isalpha()
            or len(word.word) < FEWEST_LETTERS
        ):
            return False
        everyday = word.word in english_words().everyday or word.word in plain_words().right
        names = bool(kinds) and kinds <= TELLING
        return (names or not everyday) and _is_meant(word) and not self._is_gentle(word)

    def _holds_a_no(self, phrase: Phrase) -> bool:
        """Whether a no stands inside that is not its own: "door won't open" is no open door."""
        inside = set(range(phrase.units[0], phrase.units[-1])).difference(phrase.units)
        return any(self._at[unit].word in NEGATORS for unit in inside if unit in self._at)

    def _is_gentle(self, word: TypedWord) -> bool:
        behind = self._beside(word, 1) if word.word == LIGHT else None
        return behind is not None and behind.word in GENTLE

    def _beside(self, word: TypedWord, step: int) -> TypedWord | None:
        """The next word, or the one before, of the same clause."""
        other = self._at.get(word.unit + step)
        return other if other is not None and other.clause == word.clause else None


def _is_meant(word: TypedWord) -> bool:
    return not (word.fine or word.compared or word.passed or word.idle)
