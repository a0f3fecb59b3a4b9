"""The week's lines: by hand, as text, and a quiet one; ends beside a slow twin."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.bay.waiting import Waiting, WaitingFor
from kb.nouns.lead.first_steps import FirstStep, FirstSteps
from kb.nouns.review.alarms import Alarm, AlarmKind
from kb.nouns.review.week import NOTHING_NEW, Backup, Bought, CallDue, Listing, WeekOnFile
from kb.nouns.shop.sign_offs import WorkKind
from kb.nouns.shop.who_needs_signing import (
    Ends,
    MakeWithout,
    OpenWork,
    WhoNeedsSigning,
    WithoutSignOff,
    WorkSeen,
)
from kb.nouns.vehicles import Vehicle
from kb.papers.plain_text import plain_text
from kb.papers.shop_words import ShopWords
from kb.papers.week import week_of, week_paper

DAY = date(2026, 10, 31)
WORDS = ShopWords(ZoneInfo("America/New_York"), "USD", {"owner": "Olive"})
NIGHT = datetime(2026, 10, 31, 6, 10, tzinfo=UTC)


def day(ahead: int) -> date:
    return DAY + timedelta(ahead)


def a_line(concern_id: int, days: int) -> ConcernLine:
    since = datetime(2026, 10, 31, 16, tzinfo=UTC) - timedelta(days)
    waits = Waiting(WaitingFor.PART, "intake hose", "tech", since)
    return ConcernLine(concern_id, f"RO {concern_id}-A", "", Vehicle(), "open", day(-days), waiting=waits)


FULL = WeekOnFile(
    alarms=(
        ("TV-22", Alarm(AlarmKind.SHOP, day(-40), "")),
        ("TV-23", Alarm(AlarmKind.PAST, day(-2), "")),
    ),
    calls=(
        CallDue(7, "RO 7-A", day(-3), promised=True),
        CallDue(8, "RO 8-A", day(0), promised=True),
        CallDue(9, "RO 9-A", day(-30), promised=False),
        CallDue(10, "RO 10-A", day(-9), promised=False),
    ),
    bought=(
        Bought("Tarn", "programming", day(-353), day(12)),
        Bought("TARN", "information", day(-353), day(12)),
        Bought("Tarn", "information", day(-3), day(360)),
        Bought("Kestrel", "programming", day(-1), day(1)),
        Bought("Norvane", "programming", day(-373), day(-8)),
    ),
    listings=(Listing("Link 4", "Tarn", day(-350)), Listing("Link 4", "Norvane", day(-300))),
    signing=WhoNeedsSigning(
        True,
        (WithoutSignOff("tech", "Ines", WorkSeen("tech", "Tarn", (WorkKind.AIRBAG,), day(-4))),),
        (MakeWithout(OpenWork("Kestrel", (WorkKind.UPDATE,), 2)),),
        (Ends("tech", "Ines", "security credential", "Tarn", day(5), is_over=False),),
    ),
    backup=Backup(NIGHT, checked=True),
    queues={"proposals": 2, "drafts": 0},
    waiting=(a_line(11, 20), a_line(12, 8)),
    steps=FirstSteps(frozenset({FirstStep.MONEY}), put_away=False),
)
TEXT = """\
TARN STREET GARAGE, WEEK TO OCT 31, 2026
Backup: newest copy Oct 31, 2026 2:10 AM, read back and as long as its check sheet says

ALARMS
TV-23: worse than it was since Oct 29, 2026, new this week
TV-22: worse than the shop since Sep 21, 2026, not answered yet

CALLS DUE
RO 7-A: call promised for Oct 28, 2026, 3 days late
RO 8-A: call promised for Oct 31, 2026
To ask how it does: 2 vehicles, the first since Oct 1, 2026

ENDS SOON
Ines: security credential of Tarn ends Nov 5, 2026
Tarn: programming subscription ends Nov 12, 2026
Link 4: Tarn's list of devices was looked up Nov 15, 2025: look it up again

SIGN-OFFS
Ines: not signed off for airbags of Tarn (programmed Oct 27, 2026)
Kestrel: Nobody is signed off for updates of Kestrel; 2 concerns are open

NOTES WAITING
Proposed: 2

CONCERNS WAITING LONGEST
RO 11-A: waits for a part (intake hose), 20 days
RO 12-A: waits for a part (intake hose), 8 days

FIRST STEPS
First steps: 1 of 6 done
"""


def test_a_full_week_as_text() -> None:
    week = week_of(FULL, DAY, WORDS)
    assert plain_text(week_paper(week, "Tarn Street Garage")) == TEXT
    assert not week.quiet


def test_a_quiet_week_says_so_in_one_line_and_when_the_backup_was() -> None:
    quiet = WeekOnFile(
        backup=Backup(NIGHT, checked=False, where="the other one"),
        signing=WhoNeedsSigning(False, FULL.signing.people if FULL.signing else (), (), ()),
        steps=FirstSteps(frozenset(), put_away=True),
        queues={"drafts": 0},
    )
    week = week_of(quiet, DAY, WORDS)
    assert (week.parts, week.opening) == ((), NOTHING_NEW)
    assert week.backup is not None
    assert week.backup.text == "newest copy Oct 31, 2026 2:10 AM, on the other one"


def test_a_backup_that_is_missing_is_no_quiet_week() -> None:
    week = week_of(
        WeekOnFile(backup=Backup(None, checked=False, wrong="This shop has no backup.")), DAY, WORDS
    )
    assert [one.heading for one in week.parts] == ["Backup"]
    assert week.backup is None


def test_the_sixth_of_a_kind_is_counted_not_listed() -> None:
    calls = tuple(CallDue(n, f"RO {n}-A", day(-n), promised=True) for n in range(1, 9))
    [part] = week_of(WeekOnFile(calls=calls), DAY, WORDS).parts
    assert [one.label for one in part.lines] == [*(f"RO {n}-A" for n in range(8, 3, -1)), "And more"]
    assert part.lines[-1].text == "3"


@given(
    bought=st.lists(
        st.builds(
            Bought,
            st.sampled_from(["Tarn", "TARN", "Kestrel"]),
            st.sampled_from(["programming", "information"]),
            st.integers(-400, -1).map(day),
            st.integers(-12, 40).map(day),
        ),
        max_size=6,
    )
)
def test_what_ends_is_the_last_of_each_make_and_kind(bought: list[Bought]) -> None:
    parts = week_of(WeekOnFile(bought=tuple(bought)), DAY, WORDS).parts
    told = {(line.label.upper(), line.text.split()[0]) for part in parts for line in part.lines}
    expected = set()
    for make in ("TARN", "KESTREL"):
        for kind in ("programming", "information"):
            mine = [one for one in bought if (one.make.upper(), one.kind) == (make, kind)]
            last = [one for one in mine if all(one.ends_on >= other.ends_on for other in mine)]
            near = [one for one in last if day(-7) <= one.ends_on <= day(30)]
            if near and (near[-1].ends_on - near[-1].bought_on).days >= 7:
                expected.add((make, kind))
    assert told == expected
