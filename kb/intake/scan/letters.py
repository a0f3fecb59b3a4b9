"""The letters in a photo, recognized by the extra `[photo]`: its lines, and which letters were hardly told.

The package's models find where text stands and give each strip of it, slice by slice, a chance for every
letter. Those chances are read here, of Latin letters, figures and signs alone, so that of each letter its
rival is known too.
"""

from __future__ import annotations

import importlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.util import find_spec
from itertools import pairwise
from types import MappingProxyType
from typing import Any

import numpy as np
from PIL import Image

from kb.intake.scan.lines_of_pieces import Piece, in_lines
from kb.intake.scan.look_alikes import PRINTED, alike

_LONGEST_SIDE = 2000
_SIDE_TO_FIND = 1280
_STRIPS_AT_ONCE = 6
_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 -._/:;,#()[]*+|=%&'\""
_LEAST_SURE = 0.5
_RIVAL, _RIVAL_ALIKE = 0.02, 0.002
"""A letter is in doubt where the best other one has this share of both; less is enough for one that looks
alike. Of 2,061 letters of drawn photos 12 were read wrong, each for its best rival: ten O and 0, with .001 to
.45, I for 1 with .1, J for 1 with .2. O and I are always in doubt where no form settles them (`look_alikes`).
"""
_HELD = 0.8
"""...or where the slices give it less than this."""
_recognizers: list[Any] = []


@dataclass(frozen=True, slots=True)
class Letters:
    """The lines of a photo; `doubts` are the places, from 1, of a word that may be other letters."""

    text: str = ""
    doubts: Mapping[str, frozenset[int]] = field(default_factory=lambda: MappingProxyType({}))


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
    return Letters("\n".join(one.words for one in lines), _doubts(lines))


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


def _told(engine: Any, strips: Sequence[Any]) -> list[tuple[str, tuple[bool, ...]]]:
    """Of each strip its words and whether each letter is in doubt, like strips together."""
    told: list[tuple[str, tuple[bool, ...]]] = [("", ())] * len(strips)
    order = sorted(range(len(strips)), key=lambda n: strips[n].shape[1] / strips[n].shape[0])
    for since in range(0, len(order), _STRIPS_AT_ONCE):
        some = order[since : since + _STRIPS_AT_ONCE]
        widest = max(320 / 48, *(strips[n].shape[1] / strips[n].shape[0] for n in some))
        batch = np.stack([engine.text_rec.resize_norm_img(strips[n], widest) for n in some])
        for n, chances in zip(some, engine.text_rec.session(batch.astype(np.float32))[0], strict=True):
            told[n] = _letters_of(chances, engine.text_rec.postprocess_op.character)
    return told


def _letters_of(chances: Any, signs: Sequence[str]) -> tuple[str, tuple[bool, ...]]:
    """The best course through the slices (a letter said in several in a row counts once)."""
    kept = [0, *(n for n, sign in enumerate(signs) if sign in _SIGNS)]
    of = chances[:, kept]
    best = of.argmax(axis=1)
    words, doubts, held = "", [], []
    for since, until in pairwise([0, *(np.flatnonzero(np.diff(best)) + 1), len(best)]):
        if best[since]:
            slices = of[since:until]
            clearest = dict(
                zip((signs[n] for n in kept[1:]), slices[slices.max(axis=1).argmax(), 1:], strict=True)
            )
            words += (sign := signs[kept[best[since]]])
            held.append(clearest[sign])
            doubts.append(_is_in_doubt(sign, clearest))
    sure = sum(held) / len(held) if held else 0.0
    return (words, tuple(doubts)) if sure >= _LEAST_SURE else ("", ())


def _is_in_doubt(sign: str, chances: Mapping[str, float]) -> bool:
    """Whether another letter is likely enough; the same one, small or large, is none."""
    own = sum(chances[one] for one in {sign, sign.upper(), sign.lower()})
    rival = max((one for one in _SIGNS if one.upper() != sign.upper()), key=chances.__getitem__)
    share = chances[rival] / (own + chances[rival])
    return share > (_RIVAL_ALIKE if alike(sign, rival) else _RIVAL) or own < _HELD


def _doubts(lines: Sequence[Any]) -> dict[str, frozenset[int]]:
    """By word as it stands, all places that are in doubt wherever it stands."""
    found: dict[str, frozenset[int]] = {}
    for line in lines:
        for word in PRINTED.finditer(line.words):
            places = {n - word.start() + 1 for n in range(*word.span()) if line.doubts[n]}
            found[word[0]] = found.get(word[0], frozenset()) | places
    return found
