"""What a note says of its codes, its remedy and against it comes back as it was given, whatever the way."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict, replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import CodeKind, NoteCode, NoteDraft, NoteKind, Remedy, SpeaksAgainst
from kb.nouns.starting_checks import STARTING_CHECKS
from kb.vehicle.codes import is_general
from tests.factories import actor_of
from tests.kb.intake.reading import read

_letters = st.characters(categories=("L", "N"), include_characters=",;:=\"'()")
_word = st.text(_letters, min_size=1, max_size=9).filter(lambda word: word != "=")
_words = st.lists(_word, min_size=1, max_size=4).map(" ".join)
_code = st.from_regex(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?", fullmatch=True)
_codes = st.dictionaries(_code, st.sampled_from(CodeKind), max_size=4).map(
    lambda said: tuple(
        NoteCode(code, CodeKind.MAY_BE_STORED if kind is CodeKind.DEFINING and is_general(code) else kind)
        for code, kind in sorted(said.items())
    )
)
_check = st.sampled_from(["", *(one.key for one in STARTING_CHECKS)])
_drafts = st.builds(
    NoteDraft,
    kind=st.just(NoteKind.BULLETIN),
    title=st.just("Surge"),
    number=st.just("NV-1"),
    codes=_codes,
    speaks_against=st.lists(
        st.builds(SpeaksAgainst, _words, _check), max_size=3, unique_by=lambda one: one.says.casefold()
    ).map(tuple),
    remedy=st.sampled_from(Remedy),
    remedy_module=_words,
)


def said_of(draft: NoteDraft) -> NoteDraft:
    """Without the keys of checks, of which an entry may have got a new one, and where it came from."""
    entries = tuple(SpeaksAgainst(one.says) for one in draft.speaks_against)
    return replace(draft, speaks_against=entries, source="", identity="")


@given(draft=_drafts)
@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_through_interface_table_and_revisions(
    draft: NoteDraft, sqlite_client: TestClient, sqlite_shop: RunningShop, as_lead: dict[str, str]
) -> None:
    body = {
        "kind": "bulletin",
        "title": draft.title,
        "number": draft.number,
        "codes": [one.code for one in draft.codes],
        "code_kinds": draft.code_kinds,
        "speaks_against": [asdict(one) for one in draft.speaks_against],
        "remedy": draft.remedy,
        "remedy_module": draft.remedy_module,
    }
    made = sqlite_client.post("/api/notes", json=body, headers=as_lead)
    assert made.status_code == 201, made.text
    note = made.json()
    again = {name: note[name] for name in body} | {"version": 1}
    put = sqlite_client.put(f"/api/notes/{note['id']}", json=again, headers=as_lead)
    assert put.json() == note | {"version": 2}
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        kept = notes.read_note(desk, note["id"]).content
        revisions = notes.list_revisions(desk, note["id"])
    assert said_of(kept) == said_of(draft)
    asked = [(one.says, one.check) for one in draft.speaks_against if one.check]
    assert set(asked) <= {(one.says, one.check) for one in kept.speaks_against}
    assert all(one.check for one in kept.speaks_against)
    assert [one.content for one in revisions] == [kept, kept]


@given(draft=_drafts)
def test_through_a_file(draft: NoteDraft) -> None:
    row = {
        "number": draft.number,
        "title": draft.title,
        "codes": " ".join(one.code for one in draft.codes),
        "code_kinds": ", ".join(f"{one.code} {one.kind.replace('_', ' ')}" for one in draft.codes),
        "speaks_against": "\n".join(
            f"{one.says} = {one.check}" if one.check else one.says for one in draft.speaks_against
        ),
        "remedy": draft.remedy.replace("_", " "),
        "remedy_module": draft.remedy_module,
    }
    out = io.StringIO()
    writer = csv.DictWriter(out, list(row))
    writer.writeheader()
    writer.writerow(row)
    [note] = read("notes", out.getvalue().encode()).notes
    assert said_of(note) == said_of(draft)
