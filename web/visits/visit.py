"""One request of one browser: who it is, the shop, and how to answer it with a page."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from typing import Any
from urllib.parse import unquote, urlencode

from jinja2 import Environment
from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from api.connection import cookies
from api.errors import of_kb_error
from api.security import COOKIE, SHARED_COOKIE, device_of, give_cookie
from kb.desk.access import accounts, sessions, showing_who
from kb.desk.access.devices import Device
from kb.desk.access.sessions import SignedIn, Visitor
from kb.desk.access.showing_who import Shown
from kb.desk.context import NOBODY, Desk, RunningShop
from kb.desk.sent_once import Sending
from kb.desk.shop import backups, demo_filling
from kb.errors import KbError, NotAllowed
from kb.nouns.people import Actor
from web import pictures
from web.forms import TypedForm
from web.going import SAID_COOKIE, SEE_OTHER, Elsewhere, gone
from web.labels import word
from web.rendering import render

FORM_COOKIE = "beforeflash_form"


@dataclass(frozen=True, slots=True)
class Visit:
    """Everything that a page needs: the request, the shop, the visitor (None before sign-in), the form.

    `sending` is that of a form with a key: what it saves stands with the answer that `go` or `page` gives.
    """

    request: Request
    shop: RunningShop
    env: Environment
    typed: TypedForm
    visitor: Visitor | None = None
    sending: Sending | None = None

    @property
    def actor(self) -> Actor:
        return self.visitor.actor if self.visitor else NOBODY

    def signed(self) -> Visit:
        """The same, of whoever typed with the form what shows that it is them; what is signed by name on a
        shared device asks for it. Raises BadInput where it is not the one.
        """
        typed = self.typed.raw("signature")
        if self.visitor is None or not (typed and self.actor.must_sign):
            return self
        actor = showing_who.sign(self.shop, self.actor, Shown(self.actor.user_id, typed, self.device()))
        if self.sending:
            self.sending.signed_by(actor)
        return replace(self, visitor=replace(self.visitor, actor=actor))

    def device(self) -> Device:
        """What this browser is known by."""
        with self.shop.reading() as desk:
            return device_of(desk, self.request)

    @property
    def shared_key(self) -> str:
        """What a shared device is known by; empty on any other."""
        return cookies.read(self.request, SHARED_COOKIE)

    @property
    def wants_part(self) -> str:
        """The name of the part that our own script asks for instead of a whole page, or empty."""
        return self.request.query_params.get("part", "")

    def with_form(self, typed: TypedForm) -> Visit:
        """The same visit, with another form to be shown or saved."""
        return replace(self, typed=typed)

    @contextmanager
    def reading(self) -> Iterator[Desk]:
        with self.sending.reading() if self.sending else self.shop.reading(self.actor) as desk:
            yield desk

    @contextmanager
    def writing(self) -> Iterator[Desk]:
        """One transaction. Raises SentBefore for a form that was taken, SentOtherwise if changed since."""
        with self.sending.writing() if self.sending else self.shop.writing(self.actor) as desk:
            yield desk

    def settle(self) -> None:
        """What was saved so far stands, before work that has transactions of its own."""
        if self.sending:
            self.sending.settle()

    def may(self, *roles: str) -> bool:
        return self.actor.role in roles

    def only(self, *roles: str) -> None:
        """Raise NotAllowed for anybody else: a form that cannot be saved is not shown either."""
        if not self.may(*roles):
            raise NotAllowed(f"This is for the {' or the '.join(word(one, 'role') for one in roles)}.")

    def page(
        self,
        template: str,
        *,
        place: str = "",
        status: int = 0,
        refused: KbError | None = None,
        **context: Any,
    ) -> Response:
        """The template as a page. `place` is the address in the bar that this page belongs to.

        `refused` says what could not be saved; what was typed then stands in the form again. Without a
        `status` it is that of the refusal, as the interface answers it.
        """
        self.settle()
        said = unquote(cookies.read(self.request, SAID_COOKIE))
        form_token = self.visitor.form_token if self.visitor else self._anonymous_token()
        of_answer = {
            "form_token_value": form_token,
            "place": place,
            "here": self._here(context.get("address", "/")),
            "said": said,
            "refused": refused,
        }
        html = render(self.env, template, {**self._on_every_page(), **of_answer, **context})
        status = status or (of_kb_error(refused).status if refused else 200)
        response = HTMLResponse(html, status_code=status, headers={"Cache-Control": "no-store"})
        if said:
            cookies.take(self.request, response, SAID_COOKIE)
        if self.visitor is None:
            cookies.give(self.request, response, FORM_COOKIE, form_token)
        return response

    def name_of(self, user_name: str) -> str:
        """What a person of the shop is called; names of nobody here (an import) stay as they are."""
        if self.visitor is None:
            return user_name
        return self.people().get(user_name, user_name)

    def people(self, desk: Desk | None = None) -> dict[str, str]:
        """What everybody with an account is called, by user name; asked at `desk` where one is at hand."""
        state = self.request.state
        if not hasattr(state, "names"):
            with nullcontext(desk) if desk else self.reading() as here:
                state.names = {one.name: one.display_name for one in accounts.list_users(here)}
        names: dict[str, str] = state.names
        return names

    def go(self, path: str, said: str = "", **query: str | list[str]) -> Response:
        """See the result elsewhere, with a sentence to be said there once; `path` may name a place.

        What the form saved is committed with it.
        """
        page, hash_sign, place = path.partition("#")
        address = (f"{page}?{urlencode(query, doseq=True)}" if query else page) + hash_sign + place
        there = Elsewhere(address, said)
        if self.sending:
            self.sending.answered(SEE_OTHER, there.kept())
        return gone(self.request, there)

    def let_in(self, signed_in: SignedIn, path: str) -> Response:
        """On to the path with a fresh session; the one before ends (OWASP ASVS 5.0, 7.2.4)."""
        if before := cookies.read(self.request, COOKIE):
            with self.shop.writing() as desk:
                sessions.sign_out(desk, before)
        response = self.go(path)
        give_cookie(self.request, response, signed_in)
        cookies.take(self.request, response, FORM_COOKIE)
        return response

    def afterwards(self, answer: Response, save: Callable[[Desk], object]) -> Response:
        """The answer, and something small that is saved once it has been sent: nobody waits for the pen."""

        def later() -> None:
            with self.writing() as desk:
                save(desk)

        answer.background = BackgroundTask(later)
        return answer

    def today(self) -> date:
        """The shop's local day."""
        return self.day_of(self.shop.clock())

    def day_of(self, moment: datetime) -> date:
        """The shop's local day at that moment."""
        return self.shop.facts.day_of(moment)

    def _on_every_page(self) -> dict[str, Any]:
        """What any page may tell: of the shop, of who comes, of where they are."""
        return {
            "shop": self.shop.facts,
            "today": self.today(),
            "visitor": self.visitor if self.visitor and self.visitor.handed_over is None else None,
            "name_of": self.name_of,
            "address": self.request.url.path,
            "typed": self.typed or None,
            "writer": self.may("lead", "owner"),
            "owner": self.may("owner"),
            "picture": partial(pictures.of, self.shop.memory),
            **self._warnings(),
        }

    def _warnings(self) -> dict[str, Any]:
        """How far a demo is filled, and what whoever answers for the shop reads while there is nothing to put
        back. Nothing is asked that the visitor is not shown.
        """
        demo, answers = self.shop.facts.is_demo, self.may("lead", "owner")
        if not (demo or answers):
            return {"filled": None, "backup_warning": ""}
        with self.reading() as desk:
            return {
                "filled": demo_filling.percent_filled(desk) if demo else None,
                "backup_warning": backups.warning(desk) if answers else "",
            }

    def _here(self, of_form: str) -> str:
        """Where a person is, to come back to; after a form that was refused, where it says that it stands."""
        url = self.request.url
        if self.request.method != "GET":
            return of_form
        return f"{url.path}?{url.query}" if url.query else url.path

    def _anonymous_token(self) -> str:
        return cookies.read(self.request, FORM_COOKIE) or secrets.token_urlsafe(24)
