"""How people write: the words of a family, spoiled by hurry, gloves and habit."""

from __future__ import annotations

import re
from random import Random

from demo_data.families import Family

SHORT = {
    "transmission": ("trans", "tranny", "trany"),
    "battery": ("batt", "bat", "battry"),
    "check engine light": ("cel", "ck eng lite", "check eng light"),
    "highway": ("hwy", "hiway"),
    "light": ("lite", "lt"),
    "throttle": ("throtle", "throttel", "gas"),
    "engine": ("eng", "motor", "engin"),
    "when": ("wen", "when"),
    "going": ("goin", "going"),
    "morning": ("am", "mornin"),
    "shudder": ("shuder", "shutter", "shudders"),
    "hybrid": ("hybird", "hybrid"),
    "triangle": ("triangel",),
    "every": ("evry", "ea"),
    "through": ("thru",),
    "and": ("n", "&", "and"),
    "instrument cluster": ("dash", "cluster", "inst clustr"),
    "communication": ("comm", "comunication"),
    "hesitates": ("hesitats", "hesitates", "stumbles"),
    "coming": ("comin", "coming"),
    "seconds": ("sec", "secs"),
}
OPENERS = ("c/s ", "cust states ", "customer says ", "", "", "", "", "states ")
ENDINGS = (
    "",
    "",
    "",
    ", no cel",
    " - been doing it 2 wks",
    ", worse lately",
    " on and off",
    ", other shop found nothing",
)
COMPLAINT_FITS = {True: 0.86, False: 0.55}
"""The chance that a complaint uses the bulletin's own kind of words: if an update cures it, and if not."""


def complaint(family: Family, fits: bool, rng: Random) -> str:
    """What the customer says; a concern that an update cures sounds more often like its bulletin."""
    pool = family.core if rng.random() < COMPLAINT_FITS[fits] else family.near
    text = _shorten(rng.choice(pool), 0.45, rng)
    spoiled = _mistype(text, 0.05, rng)
    return f"{rng.choice(OPENERS)}{spoiled}{rng.choice(ENDINGS)}"


def technician_words(family: Family, seen: bool, rng: Random) -> str:
    """What the technician notes after a first drive."""
    if not seen:
        return rng.choice(("could not dup", "no dup on 2 rd tests", "NPF today, dup later"))
    return _mistype(rng.choice(family.tech), 0.03, rng)


def _shorten(text: str, chance: float, rng: Random) -> str:
    for long, shorts in SHORT.items():
        if long in text and rng.random() < chance:
            text = re.sub(rf"\b{long}\b", rng.choice(shorts), text)
    return text


def _mistype(text: str, chance: float, rng: Random) -> str:
    return " ".join(_slip(word, rng) if rng.random() < chance else word for word in text.split(" "))


def _slip(word: str, rng: Random) -> str:
    """One typing error inside a word of four letters or more: dropped, doubled or swapped letters."""
    if len(word) < 4 or not word.isalpha():
        return word
    at = rng.randrange(1, len(word) - 1)
    slips = (
        word[:at] + word[at + 1 :],
        word[:at] + word[at] + word[at:],
        word[:at] + word[at + 1] + word[at] + word[at + 2 :],
    )
    return rng.choice(slips)
