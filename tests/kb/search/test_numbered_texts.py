"""Texts found by number and by themselves: against a dictionary, and where two have one checksum."""

from __future__ import annotations

from zlib import crc32

from hypothesis import given
from hypothesis import strategies as st

from kb.search.stored.numbered_texts import NumberedTexts
from kb.search.vocabulary import Vocabulary

ONE_CHECKSUM = ("plumless", "buckeroo")
"""Two words of one CRC-32, 4DDB0C25: a pair that is often named where checksums are explained."""
some_texts = st.lists(st.text(st.characters(exclude_categories=["Cs"])), unique=True, max_size=30)


@given(some_texts, some_texts)
def test_each_text_has_its_place_as_number_and_no_other_has_one(texts: list[str], others: list[str]) -> None:
    filed, known = NumberedTexts.of(texts), {text: at for at, text in enumerate(texts)}
    assert [filed.text(at) for at in range(len(filed))] == texts
    assert [filed.number(text) for text in (*texts, *others)] == [known.get(one) for one in (*texts, *others)]
    assert filed.with_figures().tolist() == [any(sign in "0123456789" for sign in text) for text in texts]


def test_texts_of_one_checksum_are_told_apart() -> None:
    one, other = ONE_CHECKSUM
    assert crc32(one.encode()) == crc32(other.encode()) == 0x4DDB0C25
    assert NumberedTexts.of((one, "stall", other)).number(other) == 2
    assert NumberedTexts.of(("stall", one)).number(other) is None


@given(
    st.lists(st.sampled_from(["stalls", "stalled", "p0301", "idle", *ONE_CHECKSUM]), max_size=8), some_texts
)
def test_a_vocabulary_out_of_its_file_goes_on_as_the_filed_one(first: list[str], then: list[str]) -> None:
    grown, filed = Vocabulary(), Vocabulary()
    filed.number(first)
    read = Vocabulary.of(*filed.filed(), filed.stems_of())
    grown.number(first)
    for vocabulary in (grown, read):
        vocabulary.number([*then, *first, "idles rough at 3000"])
    assert read.words_from(0) == grown.words_from(0)
    assert read.stems_of().tolist() == grown.stems_of().tolist()
    assert (len(read), read.stem_count) == (len(grown), grown.stem_count)
    assert read.without_figures().tolist() == grown.without_figures().tolist()
    assert read.stem_number("idl") == grown.stem_number("idl")
