"""Recovery is not another attempt; and what may leave. After the shop floor's sections 5 and 7."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.bay.on_file import Programmed, not_recovered
from kb.nouns.concerns import ReflashResult as Ended
from kb.prep.operating_systems import Computer, fits, fitting
from kb.prep.recovery import other_attempts
from kb.prep.release import (
    camera_answer,
    cameras_open,
    cvn_read,
    holds_mileage,
    may_leave,
    odometer_read,
    printed_cvn,
)

DAY = date(2026, 11, 30)
NOW = datetime(2026, 11, 30, 15, tzinfo=UTC)


def attempts(*told: tuple[str, Ended]) -> list[Programmed]:
    return [
        Programmed(module, result, DAY, NOW + timedelta(minutes=n)) for n, (module, result) in enumerate(told)
    ]


@given(st.lists(st.tuples(st.sampled_from(("PCM", "pcm ", "TCM")), st.sampled_from(list(Ended))), max_size=8))
def test_what_waits_is_the_last_word_of_each_module(told: list[tuple[str, Ended]]) -> None:
    waiting: dict[str, bool] = {}
    for module, result in told:
        if result is not Ended.NOTHING_NEWER:
            waiting[module.strip().upper()] = result in (Ended.STOPPED, Ended.MODULE_LOST)
    found = {one.module.strip().upper() for one in not_recovered(attempts(*told))}
    assert found == {module for module, waits in waiting.items() if waits}


@pytest.mark.parametrize(
    ("module", "result", "waits"),
    [
        ("PCM", Ended.RECOVERED, False),
        ("PCM", Ended.STOPPED, False),
        ("PCM", Ended.MODULE_LOST, False),
        ("PCM", Ended.COMPLETED, True),
        ("TCM", Ended.COMPLETED, True),
        ("TCM", Ended.RECOVERED, True),
        ("TCM", Ended.NOTHING_NEWER, False),
    ],
)
def test_another_attempt_waits_and_recovery_goes_on(module: str, result: Ended, waits: bool) -> None:
    stopped = not_recovered(attempts(("PCM", Ended.STOPPED)))
    assert bool(other_attempts(stopped, [(module, result)])) == waits
    assert other_attempts((), [(module, result)]) == ()
    assert other_attempts(stopped, [("pcm", Ended.RECOVERED), (module, result)]) == ()


@pytest.mark.parametrize(
    ("answer", "said", "needs"),
    [
        ("not_required", {}, "source"),
        ("required_done", {"how": "static", "done_by": "Glass shop"}, "proof"),
        ("required_done", {"how": "by hand", "done_by": "Glass shop", "proof": "printout 4"}, "how"),
        ("required", {}, "answer"),
        ("", {}, "answer"),
    ],
)
def test_an_answer_about_the_cameras_comes_with_its_source_or_proof(
    answer: str, said: dict[str, str], needs: str
) -> None:
    with pytest.raises(BadInput) as refused:
        camera_answer(answer, said)
    assert needs in refused.value.fields


def test_only_not_required_and_done_settle_the_cameras() -> None:
    done = {"how": "drive", "done_by": "Ines R.", "proof": "printout 4", "source": "not of this"}
    assert camera_answer("required_done", done)[1] == {k: done[k] for k in ("how", "done_by", "proof")}
    told = {answer: cameras_open(answer) for answer in ("not_required", "required_done", "required_not_done")}
    assert [bool(one) for one in told.values()] == [False, False, True]
    assert "look it up" in cameras_open("unknown")
    assert cameras_open("") == cameras_open("unknown")


@given(st.integers(0, 400_000), st.integers(0, 400_000), st.booleans())
def test_the_odometer_reads_what_it_read_before_or_the_door_label_says_it(
    before: int, after: int, label: bool
) -> None:
    said = {"before": f"{before:,} mi", "after": str(after), "label": "48,210 mi, Nov 30" if label else " "}
    if before == after or label:
        assert odometer_read(said)["after"] == str(after)
        return
    with pytest.raises(BadInput, match="49 USC 32704"):
        odometer_read(said)


def test_mileage_stands_in_clusters_and_body_modules() -> None:
    assert all(map(holds_mileage, ("IPC", "bcm", "Body Control Module", "Cluster", "instrument panel")))
    assert not any(map(holds_mileage, ("PCM", "TCM", "ECM", "HCM", "ICE", "ABS", "MCU")))


def test_the_cvn_is_the_one_printed_beside_the_id() -> None:
    text = "0447B (CVN 1A2B3C4D). New: 0447D, CVN: 8c12a04f"
    assert (printed_cvn(text, "0447D"), printed_cvn(text, "0447B")) == ("8C12A04F", "1A2B3C4D")
    assert printed_cvn(text, "0447") == printed_cvn("0447D without one", "0447D") == ""
    assert printed_cvn("0447D-1 CVN 11112222; 0447D CVN 33334444", "0447D") == "33334444"
    assert cvn_read({"cvn": "8c12a04f ", "expected": "8C12A04F"}) == {"cvn": "8C12A04F"}
    with pytest.raises(BadInput):
        cvn_read({"cvn": "00000000", "expected": "8C12A04F"})


@pytest.mark.parametrize(
    ("open_lines", "law", "reason", "told", "leaves"),
    [
        ((), (), "", False, True),
        (("cameras",), (), "", True, False),
        (("cameras",), (), "dealer does it on Monday", False, False),
        (("cameras",), (), "dealer does it on Monday", True, True),
        (("odometer",), ("odometer",), "dealer does it on Monday", True, False),
    ],
)
def test_what_is_open_leaves_by_reason_and_with_the_customer_told_and_never_past_the_law(
    open_lines: tuple[str, ...], law: tuple[str, ...], reason: str, told: bool, leaves: bool
) -> None:
    try:
        may_leave(open_lines, law, reason, customer_told=told)
        left = True
    except BadInput:
        left = False
    assert left == leaves


@pytest.mark.parametrize(
    ("asked", "has", "answer"),
    [
        (
            "64-bit desktop system, previous release",
            "64-bit desktop system, previous release. Brell only",
            True,
        ),
        ("64-bit desktop system, previous release", "64-bit desktop system, current release", False),
        ("Desk 11 or newer", "Desk 12.1, 64-bit", True),
        ("Desk 11 or newer", "Desk 10.4", False),
        ("Desk 11", "Desk 11.4", True),
        ("Desk 11", "Desk 12", False),
        ("Desk 11", "", None),
        ("", "Desk 11", None),
    ],
)
def test_a_computer_has_what_is_asked_for_or_not_or_nobody_wrote_it_down(
    asked: str, has: str, answer: bool | None
) -> None:
    assert fits(asked, has) is answer
    assert fitting(asked, [Computer("Laptop", has)])[answer] == ("Laptop",)
