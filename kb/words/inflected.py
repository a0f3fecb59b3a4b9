"""How a word is typed: the forms of a verb, the clipped -in of speech among them, and slips of the pen."""

from __future__ import annotations

from collections.abc import Sequence

_VOWELS = frozenset("aeiou")
_NEVER_DOUBLED = frozenset("wxy")


def inflected(verb: str, past: Sequence[str] = ()) -> frozenset[str]:
    """A verb as it is typed: smoke, smokes, smoked, smoking, smokin.

    `past` are its own forms where it has some, instead of the one in -ed.
    """
    root = verb[:-1] if verb.endswith("e") and not verb.endswith("ee") else verb + _doubled(verb)
    sibilant = verb.endswith(("s", "x", "z", "ch", "sh", "o"))
    third = f"{verb}es" if sibilant else f"{verb[:-1]}ies" if _ends_in_y(verb) else f"{verb}s"
    ed = f"{verb[:-1]}ied" if _ends_in_y(verb) else f"{root}ed"
    return frozenset((verb, third, *(past or (ed,)), f"{root}ing", f"{root}in"))


def _ends_in_y(verb: str) -> bool:
    return verb.endswith("y") and verb[-2:-1] not in _VOWELS


def _doubled(verb: str) -> str:
    """The last letter again where a short verb doubles it: stop, stopping."""
    vowels = [letter in _VOWELS for letter in verb]
    short = len(verb) > 2 and sum(vowels) == 1 and vowels[-2] and verb[-1] not in _NEVER_DOUBLED
    return verb[-1] if short else ""


def mistyped(word: str) -> frozenset[str]:
    """A word with one letter left out or typed twice, or two exchanged; its first letter stays."""
    places = range(1, len(word))
    return frozenset(
        (
            *(word[:at] + word[at + 1 :] for at in places),
            *(word[:at] + word[at] + word[at:] for at in places),
            *(word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in places[:-1]),
        )
    ) - {word}
