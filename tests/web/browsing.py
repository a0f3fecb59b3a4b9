"""A visitor without JavaScript: reads pages, fills forms in and sends them with their hidden fields."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

import httpx2
from starlette.testclient import TestClient

from kb.desk.access import accounts
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from tests.applications import pages_over
from tests.factories import actor_of

PASSWORD = "a long enough password"
_NO_PAGES = ("/api/", "/static/", "tel:", "mailto:", "sms:", "http")
_VOID = {"input", "meta", "link", "br", "hr", "img", "source", "rect", "line", "path", "circle", "polyline"}

Attributes = dict[str, str]


def give_passwords(shop: RunningShop) -> None:
    """The shop's people sign in by PASSWORD from now on."""
    with shop.writing(CONSOLE) as desk:
        for user in accounts.add_starting_people(desk):
            accounts.set_password(desk, user.id, chosen(PASSWORD))


@dataclass
class Form:
    action: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[Attributes] = field(default_factory=list)


class Page(HTMLParser):
    """The tags of a page in order, its forms with what they would send as they stand, and its text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.html = html
        self.tags: list[tuple[str, Attributes]] = []
        self.forms: list[Form] = []
        self.text = ""
        self.unclosed: list[str] = []
        self._textarea: str | None = None
        self._select: str | None = None
        self._first_option = False
        self._script = False
        self.feed(html)
        self.close()

    def all(self, tag: str) -> list[Attributes]:
        return [attributes for name, attributes in self.tags if name == tag]

    def form(self, action: str) -> Form:
        """The form that posts there."""
        return next(form for form in self.forms if (form.action, form.method) == (action, "post"))

    @property
    def links(self) -> list[str]:
        return [found["href"] for found in self.all("a") if "href" in found]

    @property
    def leads_to(self) -> list[str]:
        """Addresses of our pages and files that it links to, without the place in them."""
        addresses = (link.split("#")[0] for link in self.links)
        return [one for one in addresses if one and not one.startswith(_NO_PAGES)]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if tag not in _VOID:
            self.unclosed.append(tag)
        if tag == "form":
            self.forms.append(Form(found.get("action", ""), found.get("method", "get")))
        self._script = tag in {"script", "style"}
        if "form" in self.unclosed or (self.forms and "form" in found):
            self._take_field(tag, found)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.unclosed, f"</{tag}> closes nothing"
        assert self.unclosed.pop() == tag, f"</{tag}> closes something else"
        self._script = False
        if tag == "textarea":
            self._textarea = None

    def handle_data(self, data: str) -> None:
        if self._textarea is not None:
            sent = data[1:] if data.startswith("\n") else data
            self.forms[-1].fields[self._textarea][-1] += sent
        elif not self._script:
            self.text += data

    def _take_field(self, tag: str, found: Attributes) -> None:
        form, name = self.forms[-1], found.get("name", "")
        if tag == "input" and name:
            kind = found.get("type", "text")
            if kind not in {"checkbox", "radio"} or "checked" in found:
                form.fields.setdefault(name, []).append(found.get("value", ""))
        elif tag == "textarea":
            self._textarea = name
            form.fields.setdefault(name, []).append("")
        elif tag == "select":
            self._select, self._first_option = name, True
        elif tag == "option" and self._select:
            chosen = form.fields.setdefault(self._select, [])
            if self._first_option:
                chosen.append(found.get("value", ""))
            elif "selected" in found:
                chosen[-1] = found.get("value", "")
            self._first_option = False
        elif tag == "button":
            form.buttons.append(found)


class Visitor:
    """One browser. `see` reads a page, `send` sends the form that a page carries."""

    def __init__(self, shop: RunningShop) -> None:
        self.shop = shop
        self.client = TestClient(pages_over(shop), raise_server_exceptions=False, follow_redirects=True)
        self.answer: httpx2.Response | None = None

    def see(self, path: str, expect: int = 200) -> Page:
        return self._look(self.client.get(path), path, expect)

    def send(
        self,
        on: str,
        action: str,
        typed: dict[str, Any] | None = None,
        expect: int = 200,
        file: tuple[str, bytes, str] | None = None,
    ) -> Page:
        """Open the page `on`, fill in what is `typed`, send the form to `action`."""
        form = self.see(on).form(action)
        fields = form.fields | {k: v if isinstance(v, list) else [v] for k, v in (typed or {}).items()}
        answer = self.client.post(action, data=fields, files={"file": file} if file else None)
        return self._look(answer, action, expect)

    def sign_in(self, name: str) -> Visitor:
        """As tech, lead or owner, by password, through the page."""
        known = actor_of(self.shop, name)
        with self.shop.writing(CONSOLE) as desk:
            user = accounts.user_with_id(desk, known.user_id)
            user.password_hash = user.password_hash or chosen(PASSWORD).kept  # a change ends tokens
        self.send("/sign-in", "/sign-in", {"name": name, "password": PASSWORD})
        return self

    def _look(self, answer: Any, path: str, expect: int) -> Page:
        self.answer = answer
        assert answer.status_code == expect, f"{path}: {answer.status_code}\n{answer.text[-3000:]}"
        return Page(answer.text if "html" in answer.headers.get("content-type", "") else "")
