"""A real Chromium against a real server over the test's shop, whose clock the test moves."""

from __future__ import annotations

import os
import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright
from starlette.testclient import TestClient

from api.connection.reading_http import READING
from api.security import COOKIE
from kb.desk.context import RunningShop
from tests import patience
from tests.applications import pages_over
from tests.web.browsing import PASSWORD, give_passwords
from tests.web.browsing import Page as Read

_CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
_PATIENCE = 60_000  # milliseconds
_QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@contextmanager
def served(shop: RunningShop, secured: dict[str, Any] | None = None) -> Iterator[str]:
    """The address of a server over `shop`, stopped at the end; `secured` is how uvicorn does HTTPS."""
    with listening(pages_over(shop), secured) as url:
        yield url


@contextmanager
def listening(application: Any, secured: dict[str, Any] | None = None) -> Iterator[str]:
    """The address of a server of `application`, as `served`."""
    tls = secured or {}
    config = uvicorn.Config(application, lifespan="off", **READING, **tls)
    server = uvicorn.Server(config)
    with socket.create_server(("127.0.0.1", 0)) as listening:
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        yield f"http{'s' if tls else ''}://127.0.0.1:{listening.getsockname()[1]}"
        server.should_exit = True
        thread.join(patience.here(10))


@contextmanager
def chromium() -> Iterator[Browser]:
    """Skips with the reason where no Chromium starts; fails instead where CI says so."""
    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(
                executable_path=_CHROMIUM, args=list(_QUIET), timeout=patience.LONG * 1000
            )
        except Exception as reason:
            if os.environ.get("CI") == "true":
                raise
            pytest.skip(f"Chromium does not start here: {str(reason).splitlines()[0]}")
        expect.set_options(timeout=_PATIENCE)
        yield browser
        browser.close()


@dataclass
class Screen:
    """A page with what went wrong on it (script errors, refused loads, broken policy), and whether it runs
    scripts.
    """

    page: Page
    url: str
    troubles: list[str]
    script: bool = True

    def open(self, path: str) -> None:
        self.page.goto(self.url + path)

    def sign_in(self, name: str) -> None:
        """As one of those whom `give_passwords` let in, without drawing the form; then at the concerns."""
        asked, address = self.page.request, f"{self.url}/sign-in"
        token = Read(asked.get(address).text()).form("/sign-in").fields["form_token"][0]
        typed = {"form_token": token, "name": name, "password": PASSWORD}
        assert asked.post(address, form=typed, max_redirects=0).status == 303
        self.open("/concerns")

    def come_in_as(self, client: TestClient) -> None:
        """Signed in without the form, by the cookie of somebody who is."""
        cookie = str(client.cookies[COOKIE])
        self.page.context.add_cookies([{"name": COOKIE, "value": cookie, "url": self.url}])

    def chip(self, words: str) -> None:
        """Choose by the first label with these words."""
        self.page.locator("label", has_text=words).first.click()

    def fits(self) -> bool:
        """Nothing sticks out sideways."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth <= innerWidth"))

    def too_wide_at(self, *widths: int) -> list[int]:
        """At which of these something sticks out; the page is left at the first of them."""
        wrong = []
        for width in reversed(widths):
            self.page.set_viewport_size({"width": width, "height": 800})
            wrong += [] if self.fits() else [width]
        return wrong


def screen(
    browser: Browser,
    url: str,
    width: int = 390,
    *,
    height: int = 800,
    script: bool = True,
    dark: bool = False,
) -> Screen:
    """A page in a context of its own: nothing is shared with another screen of the test."""
    context = browser.new_context(
        viewport={"width": width, "height": height},
        java_script_enabled=script,
        color_scheme="dark" if dark else "light",
        ignore_https_errors=True,  # no test's authority is in the browser's own list
    )
    context.set_default_timeout(_PATIENCE)
    page = context.new_page()
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
    return Screen(page, url, troubles, script)


@contextmanager
def phone_in_the_bay(
    browser: Browser, shop: RunningShop, *, width: int = 390, height: int = 664, script: bool = True
) -> Iterator[Screen]:
    """A phone on which the technician of `shop` is signed in."""
    give_passwords(shop)
    with served(shop) as url:
        shown = screen(browser, url, width, height=height, script=script)
        shown.sign_in("tech")
        yield shown
