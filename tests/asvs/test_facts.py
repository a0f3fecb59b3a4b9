"""What rows of the table rest on: what the program does not use, and what every answer carries."""

from __future__ import annotations

import ast
import logging
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import httpx2
import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.applications import pages_over
from tests.asvs.following import Program
from tests.factories import headers_of
from tests.web.browsing import PASSWORD, Page, Visitor, give_passwords
from tests.who_may.test_who_may import is_call, rows

ROOT = Path(__file__).parents[2]
# What runs words, reads objects out of bytes, or asks somebody else.
RUNS_OR_ASKS = {
    *("pickle", "marshal", "shelve", "dill", "yaml", "xml.etree", "lxml", "defusedxml", "ctypes", "cffi"),
    *("ldap", "ldap3", "pymemcache", "smtplib", "imaplib", "ftplib", "telnetlib", "xmlrpc", "http.client"),
    *(
        "urllib.request",
        "urllib3",
        "requests",
        "httpx",
        "httpx2",
        "aiohttp",
        "code",
        "codeop",
        "Crypto",
        "jwt",
    ),
}
READ_AS_PATTERNS = {
    *(f"re.{name}" for name in ("compile", "search", "match", "fullmatch", "findall", "finditer")),
    *("re.sub", "re.subn", "re.split"),
}
READ_AS_LIKE = {"like", "ilike", "not_like", "not_ilike", "regexp_match", "regexp_replace", "op", "bool_op"}
PARTS_OF_TEXT = {f"{i}{name}" for i in ("", "i") for name in ("startswith", "endswith", "contains")}
ALLOWED = {
    "kb/records/engine.py": {"urllib.request", "urllib.request.url2pathname"},  # a path out of an address
    "api/commands/listening.py": {"http.client"},  # asks this machine whether a port is taken
    "kb/records/files/freed_memory.py": {"ctypes"},  # one call of the C library, without a word of anybody's
}
STARTS_PROCESSES = {
    "api/commands/demo.py",  # fills the demo: our own module, no words of anybody
}
CALLS = {"eval", "exec", "compile", "__import__"}


@cache
def sources() -> dict[str, ast.Module]:
    files = (file for room in ("api", "kb", "web") for file in (ROOT / room).rglob("*.py"))
    return {str(file.relative_to(ROOT).as_posix()): ast.parse(file.read_text("utf-8")) for file in files}


def imported(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            yield node.module or ""
            yield from (f"{node.module}.{one.name}" for one in node.names)


def calls(tree: ast.Module) -> Iterator[tuple[str, ast.Call]]:
    """Each call with its name as it is written: `text`, `hashlib.md5`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func), node


def test_nothing_is_used_that_runs_or_fetches_what_was_typed() -> None:
    """Neither modules that do, nor their calls; hashes are SHA-2, BLAKE2 and Argon2 of known packages."""
    wrong = []
    for file, tree in sources().items():
        names = set(imported(tree)) - ALLOWED.get(file, set())
        wrong += [
            (file, one) for one in names if one in RUNS_OR_ASKS or one.partition(".")[0] in RUNS_OR_ASKS
        ]
        wrong += [(file, "subprocess")] * ("subprocess" in names and file not in STARTS_PROCESSES)
        for name, call in calls(tree):
            at_once = any(word.arg == "shell" for word in call.keywords) and not name.endswith(".format")
            weak = re.fullmatch(r"hashlib\.(md5|sha1|new)", name)
            wrong += [(file, name)] * bool(name in CALLS or name == "os.system" or at_once or weak)
    assert wrong == []


def test_no_statement_is_put_together_from_values() -> None:
    """Written statements hold names of our own tables at most; values are bound. Those are told by hand."""
    ours = {
        "kb/records/whole_shop/highest_ids.py",  # tables and sequences, out of the metadata and the database
        "kb/records/whole_shop/empty_tables.py",
        "kb/records/whole_shop/rows_out.py",
    }
    wrong = [
        (file, ast.unparse(call)[:90])
        for file, tree in sources().items()
        if file.startswith("kb/") and "/migrations/" not in file and file not in ours
        for name, call in calls(tree)
        if name.rpartition(".")[2] in {"text", "exec_driver_sql", "executescript"}
        for one in call.args[:1]
        if isinstance(one, ast.JoinedStr | ast.BinOp)
    ]
    assert wrong == []


def test_no_pattern_is_made_of_what_was_typed_or_read() -> None:
    """Each made in a function is followed to our own words or `re.escape`; LIKE has SQLAlchemy's escape."""
    program = Program(sources())
    made = program.in_functions(READ_AS_PATTERNS)
    assert len(made) > 100
    wrong = [(file, ast.unparse(call)[:90]) for file, call in made if not program.is_ours(call.args[0])]
    for name in READ_AS_LIKE | PARTS_OF_TEXT:
        for file, call in program.calls(name):
            if file.startswith("kb/records/") and not all(map(program.is_ours, call.args)):
                escaped = any(ast.unparse(word) == "autoescape=True" for word in call.keywords)
                wrong += [(file, ast.unparse(call)[:90])] * (name in READ_AS_LIKE or not escaped)
    assert wrong == []


def test_the_rule_of_patterns_finds_what_it_is_for() -> None:
    """Typed words, by way of a name, a loop, a part, another function or a value that was handed over."""
    code = """
import re
OURS = ("a", "b")
def made(words): return re.compile("|".join(words))
def handed(words): return re.compile("|".join(words))
def typed(text, words):
    one = text.split()[0]
    for two in words:
        re.search(rf"\\b{two}", text)
    re.search("a" + one, text), re.search(OURS[0] if text else one, text)
    made(OURS), made(words), map(handed, [OURS])
def _by_others(words): return re.compile(words)
@router.get("/")
def asked(words): return _by_others(words)
def opened(text):
    with open(text) as file:
        re.search(file.read(), text)
def fine(text, words):
    re.search(re.escape(text.strip()), text), re.search("|".join(map(re.escape, words)), text)
    for one in OURS:
        re.search(rf"{one}\\d", text)
"""
    program = Program({"one.py": ast.parse(code)})
    found = program.in_functions(READ_AS_PATTERNS)
    assert [program.is_ours(call.args[0]) for _, call in found].count(False) == 7
    assert len(found) == 10


def test_templates_are_our_own_files_and_escape() -> None:
    """Every environment escapes; nothing is a template that came in."""
    made = [call for tree in sources().values() for name, call in calls(tree) if name == "Environment"]
    assert made
    assert all("autoescape=True" in ast.unparse(call) for call in made)
    of_words = {
        file
        for file, tree in sources().items()
        for name, _ in calls(tree)
        if name.rpartition(".")[2] in {"from_string", "Template"}
    }
    assert of_words <= {"api/description/page.py"}  # the page over our own description


def test_scripts_run_no_words_and_listen_to_no_other_site() -> None:
    """What is put in as HTML is a part of our own page, escaped by the server; all else is text."""
    parts = {"search.js", "alike.js", "renewed.js", "forms.js"}
    wrong = []
    for file in (ROOT / "web" / "static").glob("*.js"):
        script = file.read_text("utf-8")
        never = r"\beval\(|new Function|document\.write|postMessage|\"message\"|__proto__|https?://|ActiveX|<object"
        wrong += [(file.name, one) for one in re.findall(never, script)]
        html = re.findall(r"innerHTML|outerHTML|insertAdjacentHTML|DOMParser", script)
        wrong += [(file.name, one) for one in html if file.name not in parts]
    assert wrong == []


def test_every_kind_of_answer_carries_its_kind_and_the_headers(sqlite_shop: RunningShop) -> None:
    """Page, file, script, JSON, text, not found, another host, bad method: known by kind, not guessed."""
    lead = Visitor(sqlite_shop).sign_in("lead").client
    script = re.search(r'src="(/static/[^"]+\.js)"', lead.get("/notes").text)
    assert script
    answers = {
        path: lead.get(path)
        for path in (
            "/notes",
            "/follow-ups.csv",
            script[1],
            "/api/notes",
            "/nowhere",
            "/api/nowhere",
            "/healthz",
        )
    }
    answers["another host"] = lead.get("/notes", headers={"Host": "elsewhere.example"})
    answers["bad method"] = lead.request("DELETE", "/notes")
    for path, answer in answers.items():
        headers = answer.headers
        assert headers["x-content-type-options"] == "nosniff", path
        assert headers["referrer-policy"] == "same-origin", path
        assert "frame-ancestors 'none'" in headers["content-security-policy"], path
        assert "access-control-allow-origin" not in headers, path
        kind = headers["content-type"]
        assert kind.startswith("application/json") or kind.endswith("charset=utf-8"), (path, kind)
        assert "/static/" in path or headers.get("cache-control", "no-store") == "no-store", path
    assert "attachment" in answers["/follow-ups.csv"].headers["content-disposition"]


def test_who_is_refused_leaves_a_line_with_route_and_status_alone(
    sqlite_shop: RunningShop, caplog: pytest.LogCaptureFixture
) -> None:
    """By role, by a form without its token, by another host name; what was sent is in none of them."""
    tech = Visitor(sqlite_shop).sign_in("tech").client
    with caplog.at_level(logging.WARNING, "beforeflash.requests"):
        tech.get("/review")
        tech.post("/notes/new/lesson", data={"title": "secret words"})
        tech.get("/notes?q=secret", headers={"Host": "elsewhere.example"})
        tech.get("/notes")
    told = [vars(one)["told"] for one in caplog.records if one.getMessage() == "refused"]
    assert [(one["method"], one["status"]) for one in told] == [("GET", 403), ("POST", 403), ("GET", 400)]
    assert "secret" not in str(told)


def test_methods_and_paths_that_are_not_ours_lead_nowhere(sqlite_shop: RunningShop) -> None:
    lead = Visitor(sqlite_shop).sign_in("lead").client
    for path in ("/notes", "/api/notes", "/"):
        assert lead.request("TRACE", path).status_code == 405, path
    for path in ("/.git/config", "/static/", "/static/../settings.py", "/static/x/..%2f..%2fapp.py", "/kb/"):
        assert lead.get(path, follow_redirects=False).status_code == 404, path


def test_every_page_leads_out_and_is_kept_by_no_browser(sqlite_shop: RunningShop) -> None:
    owner = Visitor(sqlite_shop).sign_in("owner").client
    seen = 0
    for method, path, _ in rows():
        if method != "GET" or is_call(path) or "{" in path:
            continue
        answer = owner.get(path)
        if not answer.headers["content-type"].startswith("text/html") or answer.status_code != 200:
            continue
        seen += 1
        assert answer.headers["cache-control"] == "no-store", path
        assert any(form.action == "/sign-out" for form in Page(answer.text).forms), path
    assert seen > 20


def test_a_new_sign_in_is_a_new_session_and_ends_the_one_before(sqlite_shop: RunningShop) -> None:
    give_passwords(sqlite_shop)
    visitor = Visitor(sqlite_shop)
    first = _signed_in(visitor)
    second = _signed_in(visitor)
    assert first != second
    assert not _is_in(sqlite_shop, first)
    form = visitor.see("/notes").form("/sign-out").fields
    visitor.client.post("/sign-out", data=form)
    assert not _is_in(sqlite_shop, second)


def _signed_in(visitor: Visitor) -> str:
    fields = visitor.see("/sign-in").form("/sign-in").fields
    typed = {"name": ["lead"], "password": [PASSWORD]}
    answer = visitor.client.post("/sign-in", data=fields | typed, follow_redirects=False)
    assert answer.status_code == 303
    return visitor.client.cookies["beforeflash_session"]


def _is_in(shop: RunningShop, cookie: str) -> bool:
    client = TestClient(pages_over(shop), cookies={"beforeflash_session": cookie})
    answer: httpx2.Response = client.get("/notes", follow_redirects=False)
    return answer.status_code == 200


def test_a_parameter_or_field_that_is_not_asked_for_does_nothing(sqlite_shop: RunningShop) -> None:
    """What a body has no field for is refused; a parameter said twice is one; decoding happens once."""
    client = TestClient(pages_over(sqlite_shop), headers=headers_of(sqlite_shop, "lead"))
    note = {"kind": "lesson", "title": "50 %2541 grounds"}
    for extra in ({"id": 7}, {"shop_id": 2}, {"version": 9}, {"author": "owner"}):
        assert client.post("/api/notes", json=note | extra).status_code == 422, extra
    made = client.post("/api/notes", json=note).json()
    assert client.get(f"/api/notes/{made['id']}").json()["title"] == note["title"]
    twice = client.get("/api/search?q=grounds&limit=1&limit=5000&q=%2541")
    assert twice.status_code in {200, 422}
    assert len(twice.json().get("results", [])) <= 1
