"""What the words of a concern speak of, by the concepts of shop talk."""

from __future__ import annotations

from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile


def concepts_of(desk: Desk, file: ConcernFile) -> frozenset[str]:
    """With what was done just before, as the index reads it."""

    def read() -> frozenset[str]:
        text = f"{said_of(file).text}. {file.just_before}"
        return search_memory.index(desk, (UPDATE,)).meaning(text).concepts

    return remembered(desk, file, "concepts", read)
