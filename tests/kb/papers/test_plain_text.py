"""Text for other programs: short lines, nothing lost, and no letter that they mangle where that is asked."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kb.papers.plain_text import PaperLine, PaperPart, ascii_letters, plain_text

WORDS = st.text(st.characters(codec="utf-8"), max_size=200)


def test_signs_are_written_out_accents_dropped_and_the_unknown_is_marked() -> None:
    assert ascii_letters("“NV10A” → NV10B – 12.6 V, 60 Ω, 20 °C, Señor Núñez, ½") == (
        '"NV10A" -> NV10B - 12.6 V, 60 ohm, 20 deg C, Senor Nunez, 1/2'
    )
    assert ascii_letters("漢") == "?"


def test_a_long_text_is_one_line_and_its_own_lines_are_kept() -> None:
    said = (
        "bucks and jerks at light throttle going uphill when warm, never when cold, since last week\nno codes"
    )
    assert plain_text([PaperPart("Concern", (PaperLine("Customer states", said),))]).splitlines() == [
        "CONCERN",
        f"Customer states: {said.splitlines()[0]}",
        "  no codes",
    ]


@settings(max_examples=60)
@given(WORDS, WORDS, st.booleans())
def test_no_word_is_lost_and_ascii_is_ascii(label: str, text: str, only_ascii: bool) -> None:
    shown = plain_text([PaperPart("RO 1-A", (PaperLine(label, text),))], only_ascii=only_ascii)
    assert not only_ascii or (shown.isascii() and all(one.isprintable() or one == "\n" for one in shown))
    if not only_ascii:
        printable = [one for one in text if one.isprintable() and not one.isspace()]
        assert "".join(printable) in "".join(shown.split())
