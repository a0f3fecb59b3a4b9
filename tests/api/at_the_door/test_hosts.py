"""By which names the server may be called. DNS rebinding as OWASP describes it: the attacker's page keeps its
own name and has it point at the shop's computer; only the Host header still tells.
"""

from __future__ import annotations

import pytest

from api.hosts import is_known, own_names
from api.settings import BadSettings, from_environment
from kb.desk.context import RunningShop
from tests.web.browsing import Visitor

KNOWN = own_names("Shop-PC.corp.example")


@pytest.mark.parametrize(
    "header",
    [
        "localhost:8000",
        "127.0.0.1",
        "192.168.1.20:8000",  # a tablet, by the address that the program printed
        "[::1]:8000",
        "[fe80::1ff:fe23:4567:890a]",
        "shop-pc:8000",
        "SHOP-PC.local",
        "shop-pc.lan.",
        "shop-pc.corp.example",
    ],
)
def test_figures_and_the_machines_own_names_are_taken(header: str) -> None:
    assert is_known(header, KNOWN)


@pytest.mark.parametrize(
    "header",
    [
        "",
        "elsewhere.example:8000",
        "192.168.1.20.elsewhere.example",
        "shop-pc.elsewhere.example",
        "localhost.elsewhere.example",
        "127.0.0.1@elsewhere.example",
        "[elsewhere.example]",
        "shop-pc, elsewhere.example",
    ],
)
def test_any_other_name_is_not(header: str) -> None:
    assert not is_known(header, KNOWN)


def test_the_setting_adds_names_and_the_name_listened_at_is_one() -> None:
    told = from_environment({"BEFOREFLASH_HOSTS": "Memory.example, tower", "BEFOREFLASH_HOST": "bench"})
    assert {"memory.example", "tower", "bench", "localhost"} <= told.hosts
    for wrong in ("http://memory.example", "*", "memory.example:8000", "-x"):
        with pytest.raises(BadSettings, match="names alone"):
            from_environment({"BEFOREFLASH_HOSTS": wrong})


def test_pages_and_interface_refuse_another_name_in_a_sentence(sqlite_shop: RunningShop) -> None:
    client = Visitor(sqlite_shop).client
    for path in ("/", "/api/me", "/static/0/x.css"):
        answer = client.get(path, headers={"Host": "elsewhere.example"})
        assert answer.status_code == 400, path
        assert "BEFOREFLASH_HOSTS" in answer.text
        assert "elsewhere" not in answer.text
    assert client.get("/sign-in", headers={"Host": "10.0.0.7:8000"}, follow_redirects=False).status_code < 400
