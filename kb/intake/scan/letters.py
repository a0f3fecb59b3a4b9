"""The letters in a photo, recognized by the extra `[photo]`: its lines, and which letters were hardly told.

The package's models find where text stands and give each strip of it, slice by slice, a chance for every
letter. Those chances are read here, of Latin letters, figures and signs alone, so that of each letter its
rival is known too.
"""

from __future__ import annotations

import importlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.util import find_spec
from itertools import pairwise
from types import MappingProxyType
from typing import Any

import numpy as np
from PIL import Image

from kb.intake.scan.lines_of_pieces import Line, Piece, in_lines
from kb.intake.scan.look_alikes import ANY, PRINTED, alike, as_figures

_LONGEST_SIDE = 2000
_SIDE_TO_FIND = 1024
_STRIPS_AT_ONCE = 6
_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 -._/:;,#()[]*+|=%&'\""
_LEAST_SURE = 0.5
_RIVAL, _RIVAL_ALIKE, _RIVAL_SAME = 0.02, 0.002, 0.0002
"""A letter may be another one that has this share of both; less is enough for one that looks alike, or that
prints the same in many types (0 and O, 1, I and L). Of 6,700 letters of drawn photos 30 were read wrong, 29
of them for one that prints the same, with .001 to .5: among those the share is the chance (15.5 expected, 18
wrong of 712), so that in 200 photos some .02 are wrong below the limit.
"""
_HELD = 0.8
"""...or any, where the slices give it and its rivals less than this."""
_recognizers: list[Any] = []


Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Letters:
    """The lines of a photo; `rivals` are by word its places, from 1, that may be other letters, and which
    (`ANY` where none is likely); `boxes` where a word stands: left, top, right and bottom as shares of the
    photo, with what is in one piece with it.
    """

    text: str = ""
    rivals: Mapping[str, Mapping[int, str]] = field(default_factory=lambda: MappingProxyType({}))
    boxes: Mapping[str, Box] = field(default_factory=lambda: MappingProxyType({}))

    def box_of(self, words: str) -> Box | None:
        """Where the first of these words stands, as far as it is known."""
        return next((self.boxes[one[0]] for one in PRINTED.finditer(words) if one[0] in self.boxes), None)


def can_be_read() -> bool:
    """Whether the extra `[photo]` is installed."""
    return find_spec("rapidocr_onnxruntime") is not None


def letters_in(picture: Image.Image) -> Letters:
    """What is written in the picture; nothing without the extra."""
    if not can_be_read():
        return Letters()
    engine = _recognizer()
    small = picture.copy()
    small.thumbnail((_LONGEST_SIDE, _LONGEST_SIDE))
    boxes = _boxes(engine, small)
    if not boxes:
        return Letters()
    pixels = np.asarray(small.convert("RGB"))
    strips, *_ = engine.text_cls(engine.get_crop_img_list(pixels, boxes))
    pieces = [Piece(box, *told) for box, told in zip(boxes, _told(engine, strips), strict=True) if told[0]]
    lines = in_lines(pieces)
    text = "\n".join(one.words for one in lines)
    return Letters(text, _rivals_of_words(lines), _boxes_of_words(pieces, small.size))


def _recognizer() -> Any:
    if not _recognizers:
        package = importlib.import_module("rapidocr_onnxruntime")
        _recognizers.append(package.RapidOCR(intra_op_num_threads=2))
    return _recognizers[0]


def _boxes(engine: Any, picture: Image.Image) -> list[Any]:
    """Four corners of each strip of text, found in a smaller picture."""
    small = picture.copy()
    small.thumbnail((_SIDE_TO_FIND, _SIDE_TO_FIND))
    found, _ = engine.text_det(np.asarray(small.convert("RGB")))
    if found is None or not len(found):
        return []
    scale = np.float32(picture.width / small.width)
    return [np.asarray(one, dtype=np.float32) * scale for one in engine.sorted_boxes(found)]


def _told(engine: Any, strips: Sequence[Any]) -> list[tuple[str, tuple[str, ...]]]:
    """Of each strip its words and the rivals of each letter, like strips together."""
    told: list[tuple[str, tuple[str, ...]]] = [("", ())] * len(strips)
    order = sorted(range(len(strips)), key=lambda n: strips[n].shape[1] / strips[n].shape[0])
    for since in range(0, len(order), _STRIPS_AT_ONCE):
        some = order[since : since + _STRIPS_AT_ONCE]
        widest = max(320 / 48, *(strips[n].shape[1] / strips[n].shape[0] for n in some))
        batch = np.stack([engine.text_rec.resize_norm_img(strips[n], widest) for n in some])
        for n, chances in zip(some, engine.text_rec.session(batch.astype(np.float32))[0], strict=True):
            told[n] = _letters_of(chances, engine.text_rec.postprocess_op.character)
    return told


def _letters_of(chances: Any, signs: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """The best course through the slices (a letter said in several in a row counts once)."""
    kept = [0, *(n for n, sign in enumerate(signs) if sign in _SIGNS)]
    of = chances[:, kept]
    best = of.argmax(axis=1)
    words, rivals, held = "", [], []
    for since, until in pairwise([0, *(np.flatnonzero(np.diff(best)) + 1), len(best)]):
        if best[since]:
            slices = of[since:until]
            clearest = dict(
                zip((signs[n] for n in kept[1:]), slices[slices.max(axis=1).argmax(), 1:], strict=True)
            )
            words += (sign := signs[kept[best[since]]])
            held.append(clearest[sign])
            rivals.append(_rivals(sign, clearest))
    sure = sum(held) / len(held) if held else 0.0
    return (words, tuple(rivals)) if sure >= _LEAST_SURE else ("", ())


def _rivals(sign: str, chances: Mapping[str, float]) -> str:
    """The letters and figures that are likely enough; the same one, small or large, is none."""
    both: defaultdict[str, float] = defaultdict(float)
    for other, chance in chances.items():
        both[other.upper()] += chance
    own = both.pop(sign.upper())
    found = [one for one, chance in both.items() if chance > _least(sign, one) * (own + chance)]
    explained = own + sum(both[one] for one in found)
    return "".join(filter(str.isalnum, found)) + (ANY if explained < _HELD else "")


def _least(sign: str, other: str) -> float:
    if as_figures(sign) == as_figures(other):
        return _RIVAL_SAME
    return _RIVAL_ALIKE if alike(sign, other) else _RIVAL


def _boxes_of_words(pieces: Sequence[Piece], size: tuple[int, int]) -> dict[str, Box]:
    """Of each word as it stands its piece, with a rim of half a letter around it."""
    found: dict[str, Box] = {}
    for piece in pieces:
        rim = piece.high / 2
        low, high = np.min(piece.corners, axis=0) - rim, np.max(piece.corners, axis=0) + rim
        (left, top), (right, bottom) = np.clip(low / size, 0, 1), np.clip(high / size, 0, 1)
        box = (float(left), float(top), float(right), float(bottom))
        for word in PRINTED.finditer(piece.words):
            found.setdefault(word[0], box)
    return found


def _rivals_of_words(lines: Sequence[Line]) -> dict[str, dict[int, str]]:
    """By word as it stands, what its places may be, wherever it stands. A sign in front of it or behind it
    that may be anything may be a letter of it.
    """
    found: dict[str, dict[int, str]] = {}
    for line in lines:
        for word in PRINTED.finditer(line.words):
            places = found.setdefault(word[0], {})
            for place, at in enumerate(range(*word.span()), start=1):
                if line.rivals[at]:
                    places[place] = "".join(dict.fromkeys(places.get(place, "") + line.rivals[at]))
            for place, beside in ((1, word.start() - 1), (len(word[0]), word.end())):
                if line.words[max(beside, 0) : beside + 1].strip() and ANY in line.rivals[beside]:
                    places[place] = places.get(place, "") + ANY
    return found
