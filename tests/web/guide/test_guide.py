"""The guide names only what there is: each link, command, setting, picture and word to tap is looked up."""

from __future__ import annotations

import re
import shlex
import tomllib
from html import unescape
from pathlib import Path

import pytest

import web
from api import settings
from api.cli import parser
from api.commands import announcing, doctor
from api.connection.reach import reach
from kb.desk.context import RunningShop, utc_now
from tests.web.browsing import Page, Visitor
from tests.web.test_every_page import faults
from web.pages.guide.guide import PAGES

ROOT = Path(web.__file__).parents[1]
TEMPLATES = ROOT / "web" / "templates"
PICTURES = ROOT / "web" / "static" / "guide"
ADDRESSES = ["/guide", *(f"/guide/{name}" for name, _, _ in PAGES)]
READERS = {"/guide/technician": "tech", "/guide/lead": "lead"}
"""As whom the links of a page are followed; the owner where none is named."""
OWN_PAGE = ("your own page", "their own page")
EACH, TOGETHER, NARROWEST = 40_000, 500_000, 390


def commands(html: str) -> list[list[str]]:
    """What is typed after `beforeflash`, line by line."""
    coded = unescape("\n".join(re.findall(r"<code>(.*?)</code>", html, re.DOTALL)))
    lines = [re.split(r" [|>] ", line)[0] for line in coded.splitlines()]
    typed = [re.sub(r"^env \$\(.*\) ", "", line) for line in lines]
    ours = [line for line in typed if re.match(r"\.venv(/bin/|\\Scripts\\)beforeflash ", line)]
    return [shlex.split(line, posix=False)[1:] for line in ours]


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


def test_each_link_opens_for_whom_the_page_is_under_the_name_that_it_has_there(
    guide: dict[str, Page], sqlite_shop: RunningShop
) -> None:
    readers = {role: Visitor(sqlite_shop).sign_in(role) for role in ("tech", "lead", "owner")}
    opened: dict[tuple[str, str], Page] = {}
    links = [
        (READERS.get(address, "owner"), *link.partition("#")[::2], unescape(words))
        for address, page in guide.items()
        for link, words in re.findall(r'<a href="(/[^"]*)">([^<]*)</a>', page.html)
    ]
    for role, path in dict.fromkeys((role, path) for role, path, _, _ in links):
        opened[role, path] = readers[role].see(path)
    assert len(opened) > 25
    every = unescape("".join(page.html for page in opened.values()))
    for role, path, place, words in links:
        there = opened[role, path]
        assert not place or place in {one.get("id") for _, one in there.tags}, f"{path}#{place}"
        called = unescape("".join(re.findall(r"<(?:title|h[12])\b.*?</", there.html)))
        on_itself = words in (*OWN_PAGE, "Guide") or words in re.sub(r"<[^>]+>", "", called)
        assert on_itself or f'<a href="{path}">{words}</a>' in every, f"{path} is nowhere called {words}"


def test_each_command_is_one_of_the_command_line(guide: dict[str, Page]) -> None:
    named = [words for page in guide.values() for words in commands(page.html)]
    spoken_of = {"serve", "demo", "user", "backup", "restore", "service", "doctor", "--version"}
    assert {words[0] for words in named} == spoken_of
    for words in named:
        if words != ["--version"]:
            parser().parse_args(words)


def test_wherever_the_program_says_how_tablets_get_in_it_says_it_as_the_guide_does(
    guide: dict[str, Page], sqlite_shop: RunningShop, tmp_path: Path
) -> None:
    [by_hand] = {
        " ".join(words[1:]) for words in commands(guide["/guide/tablets"].html) if words[-1] == "--https"
    } - {"systemd --https", "windows --https"}
    alone = settings.ProcessSettings(tmp_path)
    on_its_page = Visitor(sqlite_shop).sign_in("owner").see("/shop/reach").text
    at_the_start = "\n".join(announcing.for_tablets(reach(alone, utc_now())))
    for said in (doctor.reach(alone).says, at_the_start, on_its_page):
        assert by_hand in said


def test_it_is_installed_as_the_readme_says(guide: dict[str, Page]) -> None:
    found = re.search(
        r"```\n(.+) && \.venv/bin/beforeflash demo\n```", (ROOT / "README.md").read_text("utf-8")
    )
    assert found
    on_linux = found[1]
    on_windows = (
        on_linux.replace("python3 ", "py ").replace(".venv/bin/", ".venv/Scripts/").replace("/", "\\")
    )
    typed = re.findall(r"<code>(.*)\n</code>", unescape(guide["/guide/running"].html))
    for wanted in (on_linux, on_windows):
        assert wanted in " && ".join(typed)


def test_the_newest_of_what_is_new_is_this_version(guide: dict[str, Page]) -> None:
    version = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    newest = re.findall(r"<h2[^>]*>(.*?)</h2>", guide["/guide/new"].html)[0]
    assert newest.startswith(f"{version}, ")


def test_each_setting_is_one_that_the_program_reads(guide: dict[str, Page]) -> None:
    named = {one for page in guide.values() for one in re.findall(r"BEFOREFLASH_\w+", page.html)}
    source = Path(settings.__file__).read_text("utf-8")
    assert "BEFOREFLASH_DATA" in named
    assert [one for one in named if f'"{one}"' not in source] == []


def test_each_word_to_tap_stands_on_a_button_link_or_fold() -> None:
    """As text of one, or as a value that one of them is given."""
    others = "\n".join(
        path.read_text("utf-8") for path in TEMPLATES.rglob("*.html") if path.parent.name != "guide"
    )
    quoted = {
        word
        for path in (TEMPLATES / "guide").glob("*.html")
        for word in re.findall(r"<b>([^<{]+)</b>", path.read_text("utf-8"))
    }
    on_one = r"<(?:button|a|summary|label)\b[^>]*>(?:[^<>]*\")?{}[<\"]"
    assert len(quoted) >= 25
    assert [word for word in sorted(quoted) if not re.search(on_one.format(re.escape(word)), others)] == []


def test_each_picture_is_shown_is_small_and_says_what_is_seen(
    guide: dict[str, Page], sqlite_shop: RunningShop
) -> None:
    shown = [one for page in guide.values() for one in page.all("img")]
    sizes = {file.name: file.stat().st_size for file in PICTURES.iterdir()}
    assert {one["src"].rpartition("/")[2] for one in shown} == set(sizes)
    assert max(sizes.values()) <= EACH
    assert sum(sizes.values()) <= TOGETHER
    assert [one for one in shown if len(one["alt"]) < NARROWEST // 10 or one["loading"] != "lazy"] == []
    assert max(int(one["width"]) for one in shown) <= NARROWEST
    visitor = Visitor(sqlite_shop)
    answers = [visitor.client.get(one["src"]) for one in shown[:2]]
    assert [(one.status_code, one.headers["content-type"]) for one in answers] == [(200, "image/png")] * 2
