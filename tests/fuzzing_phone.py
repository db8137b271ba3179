"""Random requests to the phone: answered, or refused with a number of ours, never with 500."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from qlog.logbook.keeping.audit import audit
from qlog.phone import guard
from qlog.phone.app import make_app
from qlog.phone.guard import OURS, Keys
from qlog.problem import Problem

HOST = "192.168.1.20:8737"
#: What a phone may send, by act; the places are those of the small plan.
SENT: tuple[dict[str, Any], ...] = (
    {"act": "reading", "dimension": "bore", "piece": 2, "text": "22.031", "kept": ["limits"]},
    {"act": "reading", "dimension": "bore", "piece": 1, "text": "22.03", "again": True},
    {"act": "reading", "dimension": "bore", "piece": 3, "text": "2.203", "kept": ["limits"]},
    {"act": "skip", "dimension": "bore", "piece": 3, "kind": "cannot", "why": "chips"},
    {"act": "scrap", "piece": 4, "why": "dropped"},
    {"act": "note", "piece": 1, "text": "slower"},
    {"act": "setup", "piece": 2, "cause": "tool change", "note": "x", "waited": 600},
    {"act": "set", "what": "speed", "text": "1200", "piece": 2},
    {"act": "reading", "dimension": "bore", "piece": 3, "text": "22.03", "instrument": "x"},
    {"act": "reading", "dimension": "bore", "piece": 3, "text": "22.03", "temperature": "24"},
    {"act": "reading", "dimension": "bore", "piece": 3, "text": "22.03", "hot": "40"},
    {"act": "undo", "undo": "0" * 32, "item": "set-1"},
    {"act": "start"},
    {"act": "done"},
    {"act": "undo", "undo": "0" * 32},
)
ODD: tuple[Any, ...] = (
    None, True, [], {}, [[]], "", " ", "x" * 600, -1, 0, 10**30, 1e308, 1.5, float("nan"),
    float("inf"), "\ud83d", "\x00", "cup-1", "bore", "1-999999999", ["a", None, {}], {"a": [1]},
)  # fmt: skip
#: So many requests before the log is that of the beginning again.
_FRESH = 200


class Phones:
    """A phone that has scanned the code, and what it sends."""

    def __init__(
        self,
        chance: random.Random,
        build: Path,
        mixed: Callable[..., str],
        picture: Callable[[random.Random], bytes],
    ) -> None:
        self._chance = chance
        self._folder = build.parent / "asked"
        shutil.copytree(build, self._folder)
        self._fresh = (build / "logbook.db").read_bytes()
        self._mixed = mixed
        self._picture = picture
        self._count = 0
        ticks = iter(range(0, 10**12, 10))  # a clock that runs ahead: no rate is what is tried
        clock, guard.clock = guard.clock, lambda: float(next(ticks))
        try:
            self._keys = Keys()
            app = make_app(self._folder / "build.toml", self._keys, HOST)
        finally:
            guard.clock = clock
        app.testing = True  # what the page has no answer for is raised
        self._client = app.test_client()
        self._client.get(f"/come-in/{self._keys.key}", base_url=f"http://{HOST}")

    def ask(self) -> None:
        """One request. Raises Problem when it is refused, RuntimeError when it is a find."""
        self._count += 1
        if self._count % _FRESH == 0:
            damage = audit(self._folder / "logbook.db").damage
            (self._folder / "logbook.db").write_bytes(self._fresh)
            if damage:
                raise RuntimeError(f"the log is damaged: {damage[0].what}")
        send = self._chance.choice((self._act, self._act, self._act, self._photo, self._get))
        response = send()
        if response.status_code >= 500:
            raise RuntimeError(f"{response.status} {response.get_data()[:200]!r}")
        said = response.get_json(silent=True) if response.is_json else None
        if response.status_code >= 400 or (said or {}).get("status") == "refused":
            raise Problem(response.status)

    def _post(self, path: str, data: bytes, kind: str) -> Any:
        headers = {"Origin": f"http://{HOST}", OURS: "1", "Content-Type": kind}
        if self._chance.random() < 0.05:
            name = self._chance.choice([*headers, "Host", "Cookie", "Sec-Fetch-Site"])
            headers[name] = self._header()
        if self._chance.random() < 0.02:
            headers["Content-Length"] = self._chance.choice(("-1", "x", "0", "9" * 30))
        return self._client.post(path, base_url=f"http://{HOST}", data=data, headers=headers)

    def _header(self) -> str:
        text = self._mixed(self._chance, f"http://{HOST}")
        return "".join(c for c in text if c.isprintable() and ord(c) < 256)

    def _name(self) -> str:
        return f"{self._chance.randrange(16**32):032x}"

    def _act(self) -> Any:
        said: dict[str, Any] = {"part": "cup", "op": 20, "id": self._name()}
        said |= self._chance.choice(SENT)
        for _ in range(self._chance.randint(0, 2)):
            key = self._chance.choice([*said, "again", "kept", "waited", "made", "x"])
            value = said.get(key)
            if isinstance(value, str) and self._chance.random() < 0.5:
                said[key] = self._mixed(self._chance, value)
            else:
                said[key] = self._chance.choice(ODD)
        data = json.dumps(said, ensure_ascii=self._chance.random() < 0.9)
        if self._chance.random() < 0.2:
            data = self._mixed(self._chance, data)
        return self._post("/act", data.encode("utf-8", "surrogatepass"), "application/json")

    def _photo(self) -> Any:
        path = self._chance.choice(("photo", "photo", "scan"))
        said = {"part": "cup", "op": "20", "id": self._name(), "piece": "1", "dimension": "bore"}
        if self._chance.random() < 0.5:
            key = self._chance.choice(list(said))
            said[key] = self._mixed(self._chance, said[key])
        from urllib.parse import urlencode

        query = urlencode(said, errors="replace")
        return self._post(
            f"/{path}?{query}", self._picture(self._chance), "application/octet-stream"
        )

    def _get(self) -> Any:
        from urllib.parse import quote

        path = self._chance.choice(
            ("/", "/start", "/operation/cup/20", "/files/page.js", "/come-in/x", "/act", "/../")
        )
        if self._chance.random() < 0.8:
            path = "/" + quote(self._mixed(self._chance, path), safe="/%?&=", errors="replace")
        return self._client.get(path, base_url=f"http://{HOST}", headers={"X-Odd": self._header()})
