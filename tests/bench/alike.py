"""Alike notes: of what is shown beside a draft, how much is on the same thing, and how often its twin is.

`python -m tests.bench.alike --recalls FOLDER [--most 200]`

Twins are honest: the texts of one NHTSA ID (government recall communications) are dealt by turns into the
note on file and a draft for the same vehicles, which has no number; all other recalls are on file whole.
Dealt are those of which both halves tell what is wrong; letters that only announce are no twins. What is
shown is right where it is of the draft's own ID, or of one defect with it by the bench's own plain rule
(one_defect.py). As many recalls are left out of the file: beside their drafts nothing is right, save recalls
of one defect.
"""

from __future__ import annotations

import argparse
import random
import re
import tempfile
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.desk.notes.alike_notes import alike_notes
from kb.nouns.notes import RECALLS, NoteDocument, NoteDraft, NoteKind
from kb.records.store.notes.note_writing import Stamp, insert_notes
from kb.search.same.alike import Alike, SameBy
from tests.bench.one_defect import one_defect
from tests.bench.search_corpus import Recall, entry_of, read_recalls, recall_paths

SEED = 20_261_130
"""Which recalls are dealt: another seed, another deal."""
_AT_A_TIME = 500
_RISK, _MAY = re.compile(r"risk|crash|fire|injur", re.I), re.compile(r"\b(may|could|can|might)\b", re.I)
_LETTER = re.compile(r"please find|attached|enclosed|notice is sent|contact", re.I)


def tells(text: str) -> bool:
    """Whether a text says what is wrong: a risk, what may happen, and not that a letter is enclosed."""
    long, letter = len(text.split()) >= 20, _LETTER.search(text)
    return bool(long and _RISK.search(text) and _MAY.search(text) and not letter)


def on_file(recall: Recall, texts: Sequence[str]) -> NoteDraft:
    """A recall as an import leaves it."""
    return NoteDraft(
        NoteKind.BULLETIN,
        recall.number,
        recall.number,
        coverage=entry_of(recall, 0).coverage,
        documents=tuple(NoteDocument(f"{n}", text) for n, text in enumerate(texts, 1)),
        source=RECALLS,
        identity=recall.number,
    )


def written(recall: Recall, texts: Sequence[str]) -> NoteDraft:
    """What somebody writes of the same: the longest text that tells it, no number."""
    text = max(filter(tells, texts), key=len)
    return NoteDraft(NoteKind.BULLETIN, text[:80], symptom=text, coverage=entry_of(recall, 0).coverage)


def fill(shop: RunningShop, notes: Sequence[NoteDraft]) -> None:
    with shop.writing(CONSOLE) as desk:
        stamp = Stamp("bench", desk.now, desk.bump("notes"))
        for start in range(0, len(notes), _AT_A_TIME):
            insert_notes(desk.session, desk.shop.id, notes[start : start + _AT_A_TIME], stamp)


def look(
    desk: Desk, recalls: Sequence[Recall], drafts: Mapping[str, NoteDraft]
) -> dict[str, tuple[Alike, ...]]:
    """What is shown beside each draft, by the recall that it is of."""
    alike_notes(desk, drafts[recalls[0].number])  # makes the index
    began, shown = time.perf_counter(), {}
    for one in recalls:
        shown[one.number] = alike_notes(desk, drafts[one.number])
    print(f"{1000 * (time.perf_counter() - began) / len(recalls):.1f} ms a draft")
    return shown


def say(name: str, shown: Mapping[str, tuple[Alike, ...]], same: Mapping[str, frozenset[str]]) -> None:
    """Precision at 5 of what is shown, how often the draft's own ID is among it, and both by reason."""
    right: Counter[SameBy] = Counter()
    all_of: Counter[SameBy] = Counter()
    for number, found in shown.items():
        for one in found:
            all_of[one.why[0]] += 1
            right[one.why[0]] += one.note.content.number in same[number]
    own = [any(one.note.content.number == number for one in found) for number, found in shown.items()]
    silent = np.mean([not found for found in shown.values()])
    total, good = all_of.total(), right.total()
    print(f"{name}: {total} shown beside {len(shown)} drafts, precision at 5 {good / max(total, 1):.3f}")
    print(f"  own ID among them {np.mean(own):.3f}; nothing shown {silent:.3f}")
    for reason in SameBy:
        if all_of[reason]:
            share = right[reason] / all_of[reason]
            print(f"  by {reason.name.lower()}: {all_of[reason]} shown, {share:.3f} right")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--most", type=int, default=200)
    asked = parser.parse_args()
    recalls = read_recalls(recall_paths(asked.recalls))
    same = one_defect(recalls)
    texts = {one.number: list(one.texts) for one in recalls}
    several = [one for one in recalls if all(any(map(tells, texts[one.number][n::2])) for n in (0, 1))]
    chosen = random.Random(SEED).sample(several, min(2 * asked.most, len(several)))
    dealt, left_out = chosen[: len(chosen) // 2], chosen[len(chosen) // 2 :]
    out = {one.number for one in left_out}
    halves = {one.number: texts[one.number][0::2] for one in dealt}
    drafts = {one.number: written(one, texts[one.number][1::2]) for one in chosen}
    with tempfile.TemporaryDirectory() as folder:
        shop = RunningShop.open(f"sqlite:///{folder}/shop.db")
        kept = [one for one in recalls if one.number not in out and one.texts]
        fill(shop, [on_file(one, halves.get(one.number, texts[one.number])) for one in kept])
        with shop.reading(CONSOLE) as desk:
            print(f"{len(kept)} notes on file")
            say("with a twin", look(desk, dealt, drafts), same)
            say("without", look(desk, left_out, drafts), same)
        shop.close()


if __name__ == "__main__":
    main()
