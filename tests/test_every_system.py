"""Shops have Windows: nothing is called that only one kind of system knows, and texts have an encoding."""

from __future__ import annotations

import ast
import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FILES = [file for top in ("api", "kb", "web", "demo_data") for file in sorted((ROOT / top).rglob("*.py"))]

# Python's documentation marks these "Availability: Unix" or "not Windows" (library reference, 3.11).
MODULES = {
    "crypt",
    "fcntl",
    "grp",
    "nis",
    "ossaudiodev",
    "posix",
    "pty",
    "pwd",
    "readline",
    "resource",
    "spwd",
    "syslog",
    "termios",
    "tty",
}
OF_OS = re.compile(
    r"(fork\w*|spawn\w*|exec[lv]\w*|kill|killpg|wait\w*|W[A-Z]\w+|[gs]et\w*[ug]ids?|getgroups|[gs]etpgid|setsid"
    r"|ctermid|uname|umask|nice|chroot|[fl]?chown|fch\w+|lch\w+|mkfifo|mknod|f?statvfs|sched_\w+|posix_\w+"
    r"|pipe2|sync|getloadavg|set_blocking|openpty|O_(NOFOLLOW|DIRECTORY|CLOEXEC|SYNC|NONBLOCK|PATH|TMPFILE))"
)
OF_SIGNAL = {one.name for one in signal.Signals} - {
    "SIGINT",
    "SIGTERM",
    "SIGABRT",
    "SIGFPE",
    "SIGILL",
    "SIGSEGV",
}
OF_SIGNAL |= {"alarm", "setitimer", "pause", "pthread_kill", "pthread_sigmask", "sigwait", "set_wakeup_fd"}
OF_SOCKET = {"AF_UNIX", "SO_REUSEPORT", "socketpair", "fromfd"}


def _for_one_system(tree: ast.AST) -> set[ast.AST]:
    """What stands under `if sys.platform ...`: there the other systems have a way of their own."""
    guarded: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and "sys.platform" in ast.unparse(node.test):
            guarded.update(inner for part in (*node.body, *node.orelse) for inner in ast.walk(part))
    return guarded


def found_in(source: str) -> Iterator[str]:
    tree = ast.parse(source)
    guarded = _for_one_system(tree)
    for node in ast.walk(tree):
        if node not in guarded:
            yield from _of_one_system(node)


def _of_one_system(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from ({one.name.partition(".")[0] for one in node.names} & MODULES)
    elif isinstance(node, ast.ImportFrom) and node.module in {*MODULES, "os", "signal", "socket"}:
        yield from ({node.module} & MODULES)
        yield from (name for one in node.names if (name := _forbidden(node.module or "", one.name)))
    elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        yield from filter(None, [_forbidden(node.value.id, node.attr)])
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        # %-d is glibc's own; a folder of Unix is on no other system
        yield from re.findall(r"%-[a-zA-Z]|^/(?:tmp|dev|proc|etc|var)/.*", node.value)
    elif isinstance(node, ast.Call):
        yield from _without_encoding(node)


def _forbidden(module: str, name: str) -> str:
    known = {"signal": OF_SIGNAL, "socket": OF_SOCKET}
    bad = OF_OS.fullmatch(name) if module == "os" else name in known.get(module, ())
    return f"{module}.{name}" if bad else ""


def _without_encoding(node: ast.Call) -> Iterator[str]:
    """Text that is read or written in the system's own encoding is another on Windows."""
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    at = {"read_text": 0, "write_text": 1}.get(called)
    named = {word.arg for word in node.keywords}
    on_path = isinstance(node.func, ast.Attribute)
    if at is not None and on_path and len(node.args) <= at and "encoding" not in named:
        yield ast.unparse(node)
    if called == "get_context" and node.args and ast.unparse(node.args[0]) in {"'fork'", "'forkserver'"}:
        yield ast.unparse(node)
    if called == "open" and on_path and node.args and isinstance(node.args[0], ast.Constant):
        mode = node.args[0].value
        if isinstance(mode, str) and re.fullmatch(r"[rwax]\+?t?", mode) and "encoding" not in named:
            yield ast.unparse(node)


def test_nothing_is_called_that_only_one_kind_of_system_knows() -> None:
    assert len(FILES) > 300
    found = {
        str(file.relative_to(ROOT)): said
        for file in FILES
        if (said := list(found_in(file.read_text("utf-8"))))
    }
    assert found == {}


@pytest.mark.parametrize(
    "line",
    [
        "import fcntl",
        "from pwd import getpwnam",
        "import os; os.fork()",
        "from os import geteuid",
        "import os; os.kill(1, 2)",
        "import signal; signal.SIGKILL",
        "import signal; signal.alarm(3)",
        "import socket; socket.AF_UNIX",
        "when.strftime('%-d')",
        "open('/tmp/x')",
        "file.read_text()",
        "file.write_text(said)",
        "file.open('w')",
        "multiprocessing.get_context('fork')",
    ],
)
def test_the_look_finds_each_kind(line: str) -> None:
    assert list(found_in(line))
    assert not list(found_in(f"import sys\nif sys.platform != 'win32':\n    {line}"))
