"""What an export leaves out, with the reason; every other table and column is in it by itself."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

TABLES: Mapping[str, str] = MappingProxyType(
    {
        "sign_in": "secrets: open browser sessions",
        "api_token": "secrets: what programs come in by",
        "shared_device": "secrets: which browsers several people share",
        "shared_place": "where people were on a device that is not shared any more",
        "revision": "counters that caches are compared by; made anew, above every number that a row carries",
        "wrong_tries": "who waits after wrong tries, for a day at most",
        "anonymous_calls": "how often somebody unknown called in the last minute",
        "backup_turn": "which of this database's hosts makes its copies",
        "sent_once": "what browsers and programs sent to the other database, known by hashes for a month",
        "waiting_file": "files that wait on the import page, of which their senders have the original",
        "alembic_version": "the first line says it",
    }
)
COLUMNS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "shop": {
            "set_up_code_hash": "a secret: who may make the first account",
            "device_key": "a secret: what the other database's devices are known by",
            "is_demo": "an invented shop brought in is a shop: nobody comes in without a password",
        },
        "shop_user": {
            "password_hash": "a secret",
            "pin_hash": "a secret",
            "pin_wrong": "of the PIN, which is not in either",
            "disabled_at": "who may come in is said anew where the shop comes in: at first nobody",
        },
    }
)


def kept_columns(table: str, names: list[str]) -> list[str]:
    """The columns of a table that an export holds, in the order given."""
    without = COLUMNS.get(table, {})
    return [name for name in names if name not in without]
