"""Fifty people at once, each with a browser of their own: they look, search, tap, save, and think between."""

from __future__ import annotations

import asyncio
import random
import re
import time
from collections import Counter, defaultdict
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from html import unescape

import httpx
import numpy as np

from tests import patience
from tests.bench.load.server import Memory, Server
from tests.web.browsing import PASSWORD, Page

THINKS, AT_LEAST = 6.0, 1.0
"""Seconds between two acts of one person: at least one, six on average (common practice, no source). Somebody
in a bay does far less: fifty who act like this are a shop of several hundred.
"""
SHARES = {
    "tech": {"search": 35, "concern": 25, "tap": 24, "home": 10, "new concern": 6},
    "lead": {"search": 35, "concern": 25, "tap": 20, "home": 10, "new concern": 6, "note": 4},
}
"""Of 100 acts, by who does them: four technicians to a lead (common practice, no source)."""
ONE_LEAD_IN = 5
KEPT = httpx.Limits(keepalive_expiry=2)
"""A browser asks again where the server has just ended what both kept open; this asks anew before that."""
WARM_SECONDS = 60.0
"""All of them work so long before anything counts: the first of each page is as slow as a start."""
LIMIT, MOST_MORE = 250, 0.05
_ASKS = re.compile(r'<input\b(?![^>]*type="hidden")|<select|<textarea')
_FIELD = re.compile(r'<(?:input|button)\b[^>]*?\bname="([^"]+)"[^>]*?\bvalue="([^"]*)"')


@dataclass
class Told:
    """Milliseconds of every request by what it was for, what went wrong, memory once all is warm and at the
    end, and the share of one processor that asking took. Nothing counts before `begins`.
    """

    begins: float
    asking: float = 0.0
    took: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    wrong: Counter[str] = field(default_factory=Counter)
    memory: list[Memory] = field(default_factory=list)

    def say(self) -> None:
        every = np.concatenate([np.array(some) for some in self.took.values()])
        for name, some in [*sorted(self.took.items()), ("all", every)]:
            p50, p95, p99 = np.percentile(some, (50, 95, 99))
            said = f"p50 {p50:5.0f}  p95 {p95:5.0f}  p99 {p99:5.0f}  most {max(some):5.0f} ms"
            print(f"  {name:12} {len(some):6}  {said}")
        print(f"  wrong: {dict(self.wrong) or 'nothing'}; p99 of all is to be {LIMIT} ms at most")
        print(f"  asking took {self.asking:.0%} of one processor, of those that the server has")
        if len(self.memory) > 1:
            first, last = self.memory[0], self.memory[-1]
            more = last.fair / first.fair - 1
            print(f"  memory once warm {first}\n  at the end {last}: {more:+.1%}, at most {MOST_MORE:.0%}")


@dataclass
class Person:
    """Somebody at work."""

    client: httpx.AsyncClient
    role: str
    draw: random.Random
    told: Told
    complaints: Sequence[str]
    concerns: Sequence[int]

    async def work(self, until: float) -> None:
        acts: dict[str, Callable[[], Awaitable[None]]] = {
            "search": self._search,
            "concern": self._concern,
            "tap": self._tap,
            "home": self._home,
            "new concern": self._new_concern,
            "note": self._note,
        }
        await asyncio.sleep(self.draw.uniform(0, THINKS))
        while time.monotonic() < until:
            shares = SHARES[self.role]
            name = self.draw.choices(list(shares), list(shares.values()))[0]
            await acts[name]()
            await asyncio.sleep(AT_LEAST + self.draw.expovariate(1 / (THINKS - AT_LEAST)))

    async def _asked(self, what: str, method: str, path: str, **more: object) -> str:
        """One request and, where it leads elsewhere, the page that it leads to."""
        begun = time.perf_counter()
        try:
            answer = await self.client.request(method, path, **more)  # type: ignore[arg-type]
        except httpx.HTTPError as fault:
            self.told.wrong[f"{what}: {type(fault).__name__}"] += 1
            return ""
        if time.monotonic() >= self.told.begins:
            self.told.took[what].append((time.perf_counter() - begun) * 1e3)
        if answer.status_code == 303:
            return await self._asked(f"{what}, then", "GET", answer.headers["location"])
        if answer.status_code != 200:
            self.told.wrong[f"{what}: {answer.status_code}"] += 1
        return answer.text

    async def _home(self) -> None:
        await self._asked("home", "GET", "/concerns")

    async def _search(self) -> None:
        asked = {"q": self.draw.choice(self.complaints)}
        if self.draw.random() < 0.5:
            asked |= {"make": "Kia", "model": "SORENTO", "year": "2021"}
        await self._asked("search", "GET", "/search", params=asked)

    async def _concern(self) -> None:
        await self._asked("concern", "GET", f"/concerns/{self.draw.choice(self.concerns)}")

    async def _tap(self) -> None:
        at = f"/concerns/{self.draw.choice(self.concerns)}"
        page = await self._asked("concern", "GET", at)
        forms = _forms(page, f"{at}/findings")
        if forms:
            await self._asked("tap", "POST", f"{at}/findings", data=self.draw.choice(forms))

    async def _new_concern(self) -> None:
        page = await self._asked("form", "GET", "/concerns/new")
        fields = _hidden(page, "/concerns/new") | {
            "ro_number": f"Q{time.time_ns()}",  # another one with each run over the same shop
            "complaint": self.draw.choice(self.complaints),
            "make": "Kia",
            "model": "SORENTO",
            "year": "2021",
        }
        await self._asked("new concern", "POST", "/concerns/new", data=fields)

    async def _note(self) -> None:
        page = await self._asked("form", "GET", "/notes/new/lesson")
        one, other = self.draw.sample(self.complaints, 2)
        fields = _hidden(page, "/notes/new/lesson") | {
            "kind": "lesson",
            "title": f"{one} {other}"[:90],
            "symptom": one,
            "body": f"{other} {self.draw.choice(self.complaints)}",
        }
        await self._asked("note", "POST", "/notes/new/lesson", data=fields)


def _forms(page: str, action: str) -> list[dict[str, str]]:
    """What each button of the forms to an address would send that ask for a tap alone. A parser costs too
    much.
    """
    found = []
    for form in re.findall(rf'<form[^>]*action="{re.escape(action)}".*?</form>', page, re.DOTALL):
        if _ASKS.search(form):
            continue
        fields = [(name, unescape(value)) for name, value in _FIELD.findall(form.partition("<button")[0])]
        buttons = _FIELD.findall("<button" + form.partition("<button")[2])
        found += [dict(fields) | {name: unescape(value)} for name, value in buttons]
    return found


def _hidden(page: str, action: str) -> dict[str, str]:
    """The hidden fields of the form to an address."""
    form = re.search(rf'<form[^>]*action="{re.escape(action)}".*?</form>', page, re.DOTALL)
    hidden = re.findall(r'<input[^>]*type="hidden"[^>]*>', form[0]) if form else []
    return {name: unescape(value) for one in hidden for name, value in _FIELD.findall(one)}


def sign_in(server: Server, name: str) -> httpx.Cookies:
    with httpx.Client(base_url=server.url, timeout=patience.LONG) as client:
        fields = Page(client.get("/sign-in").text).form("/sign-in").fields
        answer = client.post("/sign-in", data=fields | {"name": name, "password": PASSWORD})
        assert answer.status_code == 303, answer.text
        return client.cookies


async def at_once(
    server: Server, people: int, seconds: float, complaints: Sequence[str], concerns: Sequence[int]
) -> Told:
    """So many people for so long, and WARM_SECONDS before."""
    told = Told(time.monotonic() + WARM_SECONDS)
    cookies = {role: sign_in(server, role) for role in SHARES}
    roles = ["tech" if at % ONE_LEAD_IN else "lead" for at in range(people)]
    clients = [
        httpx.AsyncClient(base_url=server.url, cookies=cookies[one], timeout=60, limits=KEPT) for one in roles
    ]
    work = [
        Person(client, role, random.Random(at), told, complaints, concerns).work(told.begins + seconds)
        for at, (client, role) in enumerate(zip(clients, roles, strict=True))
    ]
    spent: list[float] = []

    async def weigh() -> None:
        await asyncio.sleep(WARM_SECONDS)
        told.memory.append(await asyncio.to_thread(server.memory))
        spent.append(time.process_time())

    await asyncio.gather(weigh(), *work)
    told.asking = (time.process_time() - spent[0]) / seconds
    told.memory.append(server.memory())
    for client in clients:
        await client.aclose()
    return told
