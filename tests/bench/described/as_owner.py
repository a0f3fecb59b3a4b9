"""Who makes the calls of the full run, and the rules beside: read by schemathesis before its first call."""

from __future__ import annotations

from typing import Any

import schemathesis
from sqlalchemy import select
from sqlmodel import col

from api.settings import from_environment
from kb.desk.access import tokens
from kb.desk.context import CONSOLE, RunningShop
from kb.records.tables import User
from tests.bench.described import rules

__all__ = ["rules"]


class Caller:
    """The demo's owner, who goes on calling whatever the calls did to the account: ended its tokens, took its
    role. Else all that follows would be refused, and nothing be checked.
    """

    def __init__(self) -> None:
        self.token, self._shop = "", RunningShop.open(from_environment().demo_url)

    def renew(self) -> None:
        with self._shop.writing(CONSOLE) as desk:
            owner = desk.session.execute(select(User).where(col(User.name) == "owner")).scalar_one()
            owner.role, owner.disabled_at = "owner", None
            desk.session.flush()
            self.token = f"Bearer {tokens.new_token(desk, owner.name)}"


CALLER = Caller()
CALLER.renew()


@schemathesis.auth(refresh_interval=None)
class AsOwner:
    def get(self, case: Any, context: Any) -> str:
        return CALLER.token

    def set(self, case: Any, data: str, context: Any) -> None:
        case.headers["Authorization"] = data


@schemathesis.hook
def after_call(context: Any, case: Any, response: Any) -> None:
    if response.status_code in (401, 403) and case.headers.get("Authorization") == CALLER.token:
        CALLER.renew()
