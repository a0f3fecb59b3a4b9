"""`token` and `user`: letting people and programs in, from the server's own console."""

from __future__ import annotations

import argparse
import getpass
import sys
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import asdict

from sqlalchemy.exc import OperationalError

from api.commands import say, say_aside, say_json
from api.settings import ProcessSettings
from kb.desk import opening_database
from kb.desk.access import accounts, passwords, tokens
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.errors import BadInput, Conflict, NotFound

TRIES = 6  # each waits ten seconds for its turn


def token(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Print exactly one line: the token. With a demo but no shop it is the demo's, said on stderr."""
    url = process.shop_url
    if process.only_demo_exists:
        say_aside("beforeflash: there is no shop yet, so this token is for the demo.")
        url = process.demo_url
        if not opening_database.has_shop(url):
            raise Conflict("The demo is just being made. Try again in a few seconds.")
    say(_new_token(url, asked.name))
    return 0


def user(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """List, add, disable or enable people, set a password. Passwords are read, never arguments."""
    if asked.action != "list" and not asked.name:
        raise BadInput(f"beforeflash user {asked.action} NAME: the name is missing.")
    if asked.action == "list":
        with closing(RunningShop.look_at(process.shop_url)) as shop, shop.reading(CONSOLE) as desk:
            return _say_who(accounts.list_users(desk), asked)
    if asked.action != "add":
        opening_database.refuse_without_shop(process.shop_url)
    with closing(RunningShop.open(process.shop_url)) as shop:
        typed = _password(asked)
        with shop.reading(CONSOLE) as desk:
            chosen = _chosen(desk, asked, typed) if typed is not None else None
        with shop.writing(CONSOLE) as desk:
            _change(desk, asked, chosen)
            listed = accounts.list_users(desk)
    made_up = typed if typed and asked.made_up else ""
    if made_up and not asked.json:
        say(f"The password of {asked.name}, shown this once: {made_up}")
    return _say_who(listed, asked, made_up)


def _password(asked: argparse.Namespace) -> str | None:
    """As typed, or made up; None where none is set."""
    if asked.action not in ("add", "password"):
        return None
    return passwords.made_up() if asked.made_up else _read_password()


def _chosen(desk: Desk, asked: argparse.Namespace, typed: str) -> passwords.Chosen:
    if asked.action == "password":
        return accounts.choose_for(desk, _named(desk, asked.name), typed)
    return passwords.chosen(typed, desk.shop.name, asked.name, asked.display_name)


def _change(desk: Desk, asked: argparse.Namespace, chosen: passwords.Chosen | None) -> None:
    if asked.action == "add" and chosen:
        accounts.add_user(desk, asked.name, asked.display_name, asked.role, chosen, made_up=asked.made_up)
    elif asked.action == "password" and chosen:
        accounts.set_password(desk, _named(desk, asked.name), chosen, made_up=asked.made_up)
    elif asked.action == "disable":
        accounts.disable_user(desk, _named(desk, asked.name))
    elif asked.action == "enable":
        accounts.enable_user(desk, _named(desk, asked.name))


def _say_who(listed: Iterable[accounts.UserView], asked: argparse.Namespace, made_up: str = "") -> int:
    if asked.json:
        say_json({"people": [asdict(one) for one in listed], **({"password": made_up} if made_up else {})})
        return 0
    for one in listed:
        say(f"{one.name}\t{one.role}\t{one.display_name}{' (disabled)' if one.disabled else ''}")
    return 0


def _new_token(url: str, name: str) -> str:
    """A demo that is still being filled holds the only pen for a while: wait for it."""

    def make() -> str:
        with closing(RunningShop.open(url)) as shop, shop.writing(CONSOLE) as desk:
            return tokens.new_token(desk, name)

    for _ in range(TRIES - 1):
        with suppress(OperationalError):
            return make()
    return make()


def _named(desk: Desk, name: str) -> int:
    for one in accounts.list_users(desk):
        if one.name == name.strip().lower():
            return one.id
    raise NotFound(f"Nobody here is called {name!r}.")


def _read_password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("New password: ")
    if getpass.getpass("Again: ") != password:
        raise BadInput("The two passwords differ.")
    return password
