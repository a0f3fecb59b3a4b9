"""Over what a database is asked, as its address and libpq's own settings say, before anything is sent."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import URL, make_url


@dataclass(frozen=True, slots=True)
class AskedOver:
    """The hosts of a network that are asked, none for a file or a socket of this computer; `verified`: by TLS
    that holds the server's certificate against its name.
    """

    hosts: tuple[str, ...] = ()
    verified: bool = False


def asked_over(url: str | URL) -> AskedOver:
    """What libpq makes of the address, with PGHOST, PGSSLMODE and the like where it is silent. A service file
    that the address names may name any host: it counts as one.
    """
    parsed = make_url(url)
    if parsed.get_backend_name() != "postgresql":
        return AskedOver()
    from psycopg import pq  # only where PostgreSQL is asked for

    usual = {one.keyword.decode(): one.val.decode() for one in pq.Conninfo.get_defaults() if one.val}
    named = parsed.set(drivername="postgresql+psycopg")
    _, said = named.get_dialect()().create_connect_args(named)
    used = usual | {name: str(value) for name, value in said.items()}
    told = [used.get("hostaddr") or used.get("host", ""), used.get("service", "")]
    hosts = [one for some in told for one in some.split(",") if one and not one.startswith(("/", "@"))]
    return AskedOver(tuple(hosts), used.get("sslmode") == "verify-full")
