"""What `doctor` and `/readyz` say of the certificate, and that a damaged one is made anew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from api.connection import kept, tls
from api.connection.certificate_looks import at_the_console, certificate
from api.settings import BadSettings, ProcessSettings, from_environment
from kb.desk.context import RunningShop
from kb.nouns.shop.health import Gravity
from tests.applications import pages_over
from tests.conftest import StandingClock


@pytest.fixture
def process(tmp_path: Path, clock: StandingClock) -> ProcessSettings:
    made = from_environment({"BEFOREFLASH_DATA": str(tmp_path), "BEFOREFLASH_HTTPS": "yes"})
    kept.renew(made, clock())
    return made


def said(process: ProcessSettings, clock: StandingClock) -> list[tuple[str, Gravity, str]]:
    return [(one.about, one.gravity, one.says + one.to_do) for one in at_the_console(process, clock())]


def test_days_left_names_and_the_end_are_told(process: ProcessSettings, clock: StandingClock) -> None:
    """90 days, renewed when 30 are left (`authority.py`): whatever is below 29 was not renewed."""
    assert certificate(replace(process, https=False, data_folder=Path("nowhere")), clock()) is None
    [(about, gravity, says)] = said(process, clock)
    assert (about, gravity) == ("certificate", Gravity.FINE)
    assert "holds for 90 days more" in says
    named = replace(process, named_hosts=frozenset({"bench.lan"}))
    [(_, gravity, says)] = said(named, clock)
    assert (gravity, "does not name bench.lan yet" in says) == (Gravity.WATCH, True)
    clock.move(days=62)
    [(_, gravity, says)] = said(process, clock)
    assert (gravity, "was not renewed" in says) == (Gravity.WATCH, True)
    clock.move(days=28)
    [(_, gravity, says)] = said(process, clock)
    assert (gravity, "serve --https` again" in says) == (Gravity.BAD, True)
    [(_, gravity, says)] = said(replace(process, https=False), clock)
    assert (gravity, "Without HTTPS now, delete" in says) == (Gravity.WATCH, True)
    kept.renew(process, clock())
    assert said(process, clock)[0][1] is Gravity.FINE


def test_what_is_damaged_is_told_and_the_servers_own_is_made_anew(
    process: ProcessSettings, clock: StandingClock
) -> None:
    whole, authority = process.certificate_file.read_bytes(), process.https_folder / "authority-key.pem"
    for damaged in (
        b"",
        whole[: len(whole) // 3],
        whole.replace(b"PRIVATE KEY-----\nM", b"PRIVATE KEY-----\nX"),
    ):
        process.certificate_file.write_bytes(damaged)
        [(_, gravity, says)] = said(process, clock)
        assert (gravity, "cannot be used" in says) == (Gravity.WATCH, True)
        assert kept.renew(process, clock())
        assert tls.newest(process.certificate_file)
        assert said(process, clock)[0][1] is Gravity.FINE
    for wrong, why in ((b"no key", "cannot be read"), (whole, "is not the key of authority.pem")):
        authority.write_bytes(wrong)
        found = said(process, clock)
        assert [one[:2] for one in found] == [("certificate", Gravity.FINE), ("authority", Gravity.BAD)]
        assert why in found[1][2]
    authority.unlink()
    clock.move(days=70)
    with pytest.raises(BadSettings, match="Let it be readable, or delete"):
        kept.renew(process, clock())


def test_what_https_alone_would_refuse_is_told_at_the_console(
    process: ProcessSettings, clock: StandingClock
) -> None:
    alone = replace(process, https_only=True)
    assert "remember it for a year" in said(alone, clock)[-1][2]
    open_to = replace(alone, database_url="postgresql://db.shop.lan/shop")
    about, gravity, says = said(open_to, clock)[-1]
    assert (about, gravity, "sslmode=verify-full" in says) == ("https alone", Gravity.BAD, True)


def test_readyz_is_not_ready_for_an_ended_certificate_alone(
    process: ProcessSettings, sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BEFOREFLASH_DATA", str(process.data_folder))
    monkeypatch.setenv("BEFOREFLASH_HTTPS", "yes")
    answers = []
    for days in (0, 62, 28):
        clock.move(days=days)
        answer = TestClient(pages_over(sqlite_shop)).get("/readyz").json()
        answers.append(
            (answer["ready"], [one for one in answer["reasons"] + answer["warnings"] if "ertif" in one])
        )
    assert answers == [
        (True, []),
        (True, ["The certificate wants a look: run doctor."]),
        (False, ["The certificate has ended."]),
    ]
