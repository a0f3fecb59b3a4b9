from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import Unreadable
from kb.intake.formats import FORMATS
from kb.intake.government.recall_communications import HEADER
from kb.intake.history import history
from kb.intake.notes import notes
from kb.intake.rows import ReadOptions, RowError
from tests.kb.intake.reading import TODAY, read

HEADERS = {
    "history": ",".join(history.COLUMNS),
    "notes": ",".join(notes.COLUMNS),
    "recall-communications": ",".join(HEADER),
    "manufacturer-communications": "1\t\t20240301\tN\t20240215\t\t\tNORVANE\tALTO\t2019\tENGINE\t\t\tSurge",
    "service-bulletins": "N\t\t1\t19941201\tENGINE\tNORVANE\tALTO\t1994\t19950105\tSurge",
}
words = st.sampled_from(
    [
        "",
        "1",
        "9999",
        "2019",
        "2026-03-01",
        "2026-02-31",
        "P0171",
        "P13",
        "yes",
        "x",
        "=1",
        "'",
        "\ufeff",
        "ß",
    ]
)
lines = st.lists(st.tuples(words, st.sampled_from([",", "\t", ";", '"', '","', "\n", " "])), max_size=60)


@given(name=st.sampled_from(sorted(FORMATS)), data=st.binary(max_size=300))
def test_any_bytes_are_read_or_refused_with_a_sentence(name: str, data: bytes) -> None:
    refused = ""
    items: list[object] = []
    try:
        items = list(FORMATS[name].read(data, ReadOptions(TODAY)))
    except Unreadable as nothing:
        refused = nothing.message
    assert bool(items) != refused.endswith("."), "at least a summary, or a sentence that says what to do"


@given(name=st.sampled_from(sorted(FORMATS)), said=lines, ending=st.binary(max_size=20))
def test_whatever_follows_a_right_first_line_every_error_has_its_line_and_sentence(
    name: str, said: list[tuple[str, str]], ending: bytes
) -> None:
    body = "".join(word + sign for word, sign in said)
    data = f"{HEADERS[name]}\n{body}".encode() + ending.replace(b"\0", b"")
    result = read(name, data)
    last = data.count(b"\n") + data.count(b"\r") + 1
    for trouble in (*result.errors, *result.warnings):
        assert isinstance(trouble, RowError)
        assert trouble.message.endswith(".")
        assert 0 <= trouble.line <= last


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_a_right_first_line_alone_is_an_empty_import_or_one_note(name: str) -> None:
    result = read(name, HEADERS[name].encode())
    assert result.errors == []
    assert result.summary.rows == (1 if "\t" in HEADERS[name] else 0)
