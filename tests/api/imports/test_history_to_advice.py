"""A shop starts with its old records: what it imports teaches the advice by the next request."""

from __future__ import annotations

from pathlib import Path

from tests import patience
from tests.api.bay.test_whole_job import BULLETIN, Shop, ok, open_concern
from tests.api.conftest import Server, StartServer, environment_of
from tests.kb.desk.imports.importing import history
from tests.nursery import Nursery

WORDS = "bucks at light throttle, warm, uphill"


def rows(shop: Shop) -> bytes:
    """Fifteen cured and heard of after the window, twelve that came back, all of the same words."""
    done = {"codes": "", "vin": "", "opened_on": "", "complaint": WORDS, "reflashed_on": shop.day(200)}
    cured = [done | {"ro_number": f"C{n}", "last_seen_on": shop.day(100)} for n in range(15)]
    back = [done | {"ro_number": f"B{n}", "returned_on": shop.day(180)} for n in range(12)]
    return history(*cured, *back)


def import_while_it_runs(processes: Nursery, server: Server, data: bytes) -> None:
    file = Path(server.folder) / "old.csv"
    file.write_bytes(data)
    said = server.folder / "import.log"
    asked = ("import", "history", str(file))
    processes.start(*asked, environment=environment_of(server.folder), prints_to=said).wait(patience.LONG)
    assert "27 new, 0 changed" in said.read_text("utf-8")


def test_the_match_counts_cured_and_not_cured_of_an_imported_history(
    start_server: StartServer, processes: Nursery
) -> None:
    server = start_server()
    with server.client("tech") as tech, server.client("lead") as lead, server.client("owner") as owner:
        shop = Shop(tech, lead, owner)
        ok(lead.post("/api/notes", json=BULLETIN))
        import_while_it_runs(processes, server, rows(shop))
        concern = open_concern(shop, "2087", shop.day(0))
        [candidate] = ok(tech.get(f"/api/concerns/{concern}/advice"))["candidates"]
    told = {one["key"]: one for one in candidate["evidence"]}
    start, match = told["start"]["counts"], told["grade"]
    assert (start["cured"], start["not_cured"]) == (15, 12)
    assert match["result"] == "strong"
    assert not match["is_guess"]
    assert match["counts"] == {"yes_if_cured": 15, "cured": 15, "yes_if_not": 12, "not_cured": 12}
    assert abs(match["log_odds"]) < 0.3  # the guess alone says log(5/3) = 0.51
