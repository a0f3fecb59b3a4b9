"""The guide names only what there is: each link, command, setting and word of the screen is looked up."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

import web
from api import settings
from api.cli import parser
from kb.desk.context import RunningShop
from tests.web.browsing import Page, Visitor
from tests.web.test_every_page import faults
from web.pages.guide.guide import PAGES

TEMPLATES = Path(web.__file__).parent / "templates"
ADDRESSES = ["/guide", *(f"/guide/{name}" for name, _, _ in PAGES)]
READERS = {"/guide/technician": "tech", "/guide/lead": "lead"}
"""As whom the links of a page are followed; the owner where none is named."""


def commands(html: str) -> list[list[str]]:
    """What is typed after `beforeflash`, line by line."""
    coded = "\n".join(re.findall(r"<code>(.*?)</code>", html, re.DOTALL))
    lines = [line for line in coded.splitlines() if re.match(r"(\S*[/\\])?beforeflash( |$)", line)]
    return [words for line in lines if (words := shlex.split(line, posix=False)[1:])]


@pytest.fixture
def guide(sqlite_shop: RunningShop) -> dict[str, Page]:
    stranger = Visitor(sqlite_shop)
    return {address: stranger.see(address) for address in ADDRESSES}


def test_a_stranger_reads_each_page_and_finds_the_way_from_where_they_sign_in(
    guide: dict[str, Page], reflashed: RunningShop
) -> None:
    assert {address: faults(page) for address, page in guide.items() if faults(page)} == {}
    assert "/guide" in Visitor(reflashed).see("/sign-in").links
    assert set(ADDRESSES[1:]) <= set(guide["/guide"].links)


def test_a_page_that_is_not_there_says_where_the_contents_are(sqlite_shop: RunningShop) -> None:
    assert "contents are at /guide" in Visitor(sqlite_shop).see("/guide/nothing", 404).text


def test_each_link_opens_for_whom_the_page_is(guide: dict[str, Page], sqlite_shop: RunningShop) -> None:
    readers = {role: Visitor(sqlite_shop).sign_in(role) for role in ("tech", "lead", "owner")}
    followed = 0
    for address, page in guide.items():
        reader = readers[READERS.get(address, "owner")]
        for link in page.leads_to:
            reader.see(link)
            followed += 1
    assert followed > 30


def test_each_command_is_one_of_the_command_line(guide: dict[str, Page]) -> None:
    named = [words for page in guide.values() for words in commands(page.html)]
    assert {words[0] for words in named} >= {
        "serve",
        "demo",
        "user",
        "backup",
        "restore",
        "service",
        "doctor",
    }
    for words in named:
        if words == ["--version"]:
            continue
        parser().parse_args(words)


def test_each_setting_is_one_that_the_program_reads(guide: dict[str, Page]) -> None:
    named = {one for page in guide.values() for one in re.findall(r"BEFOREFLASH_\w+", page.html)}
    source = Path(settings.__file__).read_text("utf-8")
    assert "BEFOREFLASH_DATA" in named
    assert [one for one in named if f'"{one}"' not in source] == []


def test_each_word_to_tap_stands_on_a_button_or_link() -> None:
    others = "\n".join(
        path.read_text("utf-8") for path in TEMPLATES.rglob("*.html") if path.parent.name != "guide"
    )
    quoted = {
        word
        for path in (TEMPLATES / "guide").glob("*.html")
        for word in re.findall(r"<b>([^<{]+)</b>", path.read_text("utf-8"))
    }
    assert len(quoted) >= 8
    assert [
        word for word in sorted(quoted) if not re.search(rf">{re.escape(word)}</(button|a)>", others)
    ] == []
