"""Whatever is pasted: every proposal is read from the text, nothing crashes, and time is bounded."""

from __future__ import annotations

import time
from contextlib import suppress
from datetime import date
from itertools import chain, islice, repeat

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import BadInput, Unreadable
from kb.intake.text.files import text_of_file
from kb.intake.text.proposal import Field
from kb.intake.text.reading import MOST_LETTERS, read_text
from tests import patience
from tests.kb.intake.text.reading import names, papers

DAYS = (Field.PUBLISHED_ON, Field.BUILT_FROM, Field.BUILT_TO)
_pieces = st.sampled_from(
    [
        *(line for paper in papers("invented") for line in paper["text"].split("\n")),
        "\f",
        "\t|",
        "2016-19",
        "->",
    ]
)


def is_told_by(text: str) -> None:
    """Every proposal has its words in the text, its value in its own form, and stands once."""
    read = read_text(text, names())
    for one in read.proposals:
        assert one.read_from(text).strip()
        assert one.value.strip() == one.value != ""
        if one.field in DAYS:
            date.fromisoformat(one.value)
        if one.field is Field.YEAR:
            assert 1960 <= int(one.value) <= 2039
    assert len({(one.field, one.value, one.step, one.kind) for one in read.proposals}) == len(read.proposals)
    assert all(text[one.begins : one.ends].strip() for one in read.vehicles)


@given(st.text(min_size=1, max_size=400).filter(lambda text: text.strip() and "\x00" not in text))
@settings(max_examples=60)
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    with suppress(BadInput):
        is_told_by(text)


@given(st.lists(_pieces, min_size=1, max_size=30).map("\n".join).filter(str.strip))
@settings(max_examples=60)
def test_lines_of_bulletins_in_any_order(text: str) -> None:
    is_told_by(text)


@pytest.mark.parametrize(
    "piece", ["", "0447B, ", "a: b\n", "2016-2019 Tarn Vell ", "when the ", "Old: 0447B\n", " "]
)
def test_long_texts_are_read_in_bounded_time(piece: str) -> None:
    """Of bulletins one behind the other, and of one thing again and again: forty pages; what grew with the
    square of the letters would take minutes.
    """
    bulletins = "\n".join(paper["text"] for paper in papers("invented"))
    text = "".join(islice(chain.from_iterable(repeat(piece or bulletins)), 100_000)) + "x"
    began = time.process_time()
    read_text(text, names())
    assert time.process_time() - began < patience.here(10)


@pytest.mark.parametrize(
    "text", ["", " \n\t", "x" * (MOST_LETTERS + 1), "PK\x03\x04\x00\x01", "\x01\x02" * 99]
)
def test_what_is_no_text_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_text(text, names())


def test_the_text_of_a_pdf_and_of_a_plain_file() -> None:
    assert text_of_file("b.pdf", a_pdf("Number 16-23-044")).strip() == "Number 16-23-044"
    assert text_of_file("b.txt", "Größe 5".encode("cp1252")) == "Größe 5"
    for damaged in (a_pdf("x")[:60], b"%PDF-1.4 nonsense", a_pdf("")):
        with pytest.raises(Unreadable, match="PDF"):
            text_of_file("b.pdf", damaged)


def a_pdf(said: str) -> bytes:
    """A page with one line of text (ISO 32000-1, 7.5); readers rebuild the table that is left out."""
    content = f"BT /F1 12 Tf 72 720 Td ({said}) Tj ET"
    objects = (
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>",
        f"<</Length {len(content)}>>stream\n{content}\nendstream",
        "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    )
    body = "".join(f"{n} 0 obj{one}endobj\n" for n, one in enumerate(objects, 1))
    return f"%PDF-1.4\n{body}trailer<</Root 1 0 R/Size 6>>\n%%EOF".encode()
