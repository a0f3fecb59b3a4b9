"""Complaints as long as owners write them, made by rule and seed: paperwork around what is wrong.

What is wrong is a customer's wording of the queries file; or a sentence of the recall's own text told as
something that happened ("may" becomes past, some words become an owner's, names and numbers go); or only the
effect that its texts speak of, which many recalls share, in words of texts/long_texts.toml. Then come the
vehicle (or not), paperwork in one of four voices, now and then a second trouble, and slips of the pen.
Nothing of it is known to the search. Of each, "bare" says "my car" where "named" says which.
"""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from kb.nouns.model_years import UNKNOWN_YEAR
from tests.bench.search_corpus import Asked, Recall

PAPERWORK: dict[str, Any] = tomllib.loads(
    (Path(__file__).with_name("texts") / "long_texts.toml").read_text(encoding="utf-8")
)
VOICES = ("caller", "owner", "mail", "counter")
FEWEST, MOST = 60, 200
"""Words of a text; one draws how many it wants at least between 60 and 130."""
SECOND, SLIPS = 0.25, 0.03
DAYS = ("March 3", "October", "the 14th", "Friday", "last Tuesday", "June 21st", "two weeks ago Monday")

_OWNERS = {
    "vehicle": "car", "instrument panel": "dash", "loss of drive power": "lost all power",
    "loss of motive power": "lost all power", "illuminate": "come on", "inoperative": "not working",
    "rearview camera": "backup camera", "driver's": "driver", "unexpectedly": "out of nowhere",
    "headlamp": "headlight", "detach": "come off", "fracture": "break", "malfunction": "act up",
    "deactivate": "turn off",
}  # fmt: skip
_PAST = {
    "be": "was", "become": "became", "lose": "lost", "break": "broke", "come": "came", "have": "had",
    "go": "went", "make": "made", "fall": "fell", "catch": "caught", "shut": "shut", "begin": "began",
    "let": "let", "not": "did not", "stop": "stopped", "lead": "led", "stall": "stalled", "fail": "failed",
}  # fmt: skip
_MAY = re.compile(r"\b(?:may|can|could|might)(?: also| possibly| suddenly)? (\w+)", re.I)
_NO_CORE = re.compile(
    r"dealer|owner|remed|repair|notif|letter|recall|customer|mail|document|contact|free of charge|replac"
    r"|risk of a? ?(?:crash|injur)|manufactur|assembl|produc|improper|sufficient|supplier|tighten|weld|torque"
    r"|software|updat|restrict|resistor|circuit|description", re.I
)  # fmt: skip
_FELT = re.compile(
    r"stall|los[es]|power|leak|smok|fire|smell|odor|nois|start|display|blank|image|open|latch|deploy|illuminat"
    r"|warn|light|lamp|brak|steer|pedal|shift|roll|vibrat|detach|separat|fall|break|shut|flicker|stick|stuck"
    r"|charg|overheat|wiper|horn|door|seat|gauge|speed", re.I
)  # fmt: skip
_NAMES = re.compile(
    r"\b(?:on|in)? ?(?:certain|some|the affected|affected|subject)\b[^,.;]*vehicles?,?|\bcertain\b"
    r"|\b\w*\d\w*\b",
    re.I,
)


def from_customers(pairs: Sequence[Asked], seed: int = 14) -> list[Asked]:
    """Every customer wording inside paperwork."""
    return [
        _long(
            pair.recall,
            pair.make,
            pair.model,
            pair.year,
            pair.words["customer"],
            random.Random(f"{seed} {at}"),
        )
        for at, pair in enumerate(pairs)
    ]


def from_defects(recalls: Sequence[Recall], count: int, seed: int = 14) -> list[Asked]:
    """So many recalls drawn among those whose text tells what happens, each told by one who had it."""
    told = [(recall, core) for recall in recalls if (core := next(_cores(recall), "")) and _vehicles(recall)]
    found = []
    for recall, core in random.Random(seed).sample(told, min(count, len(told))):
        draw = random.Random(f"{seed} {recall.number}")
        make, model, year = draw.choice(_vehicles(recall))
        bare = re.sub(rf"\b({re.escape(make)}|{re.escape(model)})\b", "", core, flags=re.I)
        found.append(_long(recall.number, make, model, year, _as_an_owner(bare, draw), draw))
    return found


def from_what_is_seen(recalls: Sequence[Recall], count: int, seed: int = 14) -> list[Asked]:
    """So many recalls drawn among those of one plain effect, told by somebody who saw that effect only."""
    known = [(recall, says) for recall in recalls if (says := _seen(recall)) and _vehicles(recall)]
    found = []
    for recall, says in random.Random(seed).sample(known, min(count, len(known))):
        draw = random.Random(f"{seed} {recall.number}")
        found.append(_long(recall.number, *draw.choice(_vehicles(recall)), draw.choice(says), draw))
    return found


def _seen(recall: Recall) -> Sequence[str]:
    """What is said of the effect that the recall's texts speak of most, where they do at least twice."""
    text = " ".join(recall.texts)
    told = [(len(re.findall(one["of"], text, re.I)), -at) for at, one in enumerate(PAPERWORK["seen"])]
    often, at = max(told)
    return PAPERWORK["seen"][-at]["says"] if often > 1 else ()


def _vehicles(recall: Recall) -> list[tuple[str, str, int]]:
    return sorted(
        (make, model, year)
        for (make, model), years in recall.vehicles.items()
        for year in years
        if year != UNKNOWN_YEAR
    )


def _cores(recall: Recall) -> Iterator[str]:
    """Sentences that say what may happen, as something that did."""
    for text in recall.texts:
        for sentence in re.split(r"(?<=[.;])\s+", text):
            if _MAY.search(sentence) and _FELT.search(sentence) and not _NO_CORE.search(sentence):
                happened = " ".join(_NAMES.sub(" ", _MAY.sub(_past, sentence)).split()).strip(" ,.;")
                if 6 <= len(happened.split()) <= 45:
                    yield happened


def _past(may: re.Match[str]) -> str:
    verb = may[1].lower()
    regular = verb + ("d" if verb.endswith("e") else "ed")
    return _PAST.get(verb, regular)


def _as_an_owner(core: str, draw: random.Random) -> str:
    """Some of the trade's words said as an owner would."""
    for trade, owners in _OWNERS.items():
        if draw.random() < 0.6:
            core = re.sub(rf"\b{trade}", owners, core, flags=re.I)
    return core[:1].lower() + core[1:]


def _long(recall: str, make: str, model: str, year: int, core: str, draw: random.Random) -> Asked:
    voice = PAPERWORK[draw.choice(VOICES)]
    opening, happened, ending = (draw.choice(voice[part]) for part in ("openings", "told", "endings"))
    body = [happened.replace("{core}", core.strip(" ."))]
    if draw.random() < SECOND:
        body.append(draw.choice(PAPERWORK["second"]))
    aftermath, wanted = draw.sample(voice["aftermath"], len(voice["aftermath"])), draw.randint(FEWEST, 130)
    while aftermath and len(" ".join((opening, *body, ending)).split()) < wanted:
        body.append(aftermath.pop())
    text = _slips(_filled(" ".join((opening, *body, ending)), draw), draw)
    shout = draw.random() < voice["shout"]
    named = f"{year} {make.title()} {model if any(map(str.isdigit, model)) else model.title()}"
    bare, full = (text.replace("{vehicle}", said) for said in (draw.choice(PAPERWORK["anonymous"]), named))
    bare, full = (said.upper() if shout else said for said in (bare, full))
    return Asked(recall, make, model, year, {"bare": bare, "named": full})


def _filled(text: str, draw: random.Random) -> str:
    text = text.replace("{number}", f"{draw.randint(2, 140)},{draw.randint(0, 9)}00")
    return text.replace("{speed}", str(draw.randrange(20, 75, 5))).replace("{day}", draw.choice(DAYS))


def _slips(text: str, draw: random.Random) -> str:
    """Two letters swapped, one dropped or one doubled, in some of the longer words."""
    return re.sub(r"(?<!\{)\b[A-Za-z]{5,}\b(?!\})", lambda word: _slip(word[0], draw), text)


def _slip(word: str, draw: random.Random) -> str:
    if draw.random() >= SLIPS:
        return word
    at = draw.randrange(1, len(word) - 2)
    swapped = word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    return draw.choice((swapped, word[:at] + word[at + 1 :], word[: at + 1] + word[at:]))
