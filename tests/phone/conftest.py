"""The phone's page without a network: the application, asked as a browser would ask it."""

import json
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from qlog.logbook.store import Logbook
from qlog.phone.app import make_app
from qlog.phone.guard import OURS, Keys

HOST = "192.168.1.20:8737"
ORIGIN = f"http://{HOST}"


@dataclass
class Phone:
    """A browser that speaks to the page."""

    client: FlaskClient
    folder: Path
    keys: Keys

    def get(self, path: str, **headers: str) -> Any:
        return self.client.get(path, base_url=ORIGIN, headers=headers)

    def post(self, path: str, data: bytes, **changed: str | None) -> Any:
        headers = {"Origin": ORIGIN, OURS: "1", "Content-Type": "application/json"}
        headers |= {name.replace("_", "-"): value for name, value in changed.items()}
        sent = {name: value for name, value in headers.items() if value is not None}
        return self.client.post(path, base_url=ORIGIN, data=data, headers=sent)

    def come_in(self) -> "Phone":
        assert self.get(f"/come-in/{self.keys.key}").status_code == 200
        return self

    def act(self, act: str, name: str | None = None, **said: Any) -> dict[str, Any]:
        said = {"part": "cup", "op": 20, "id": name or new_name(), "act": act} | said
        response = self.post("/act", json.dumps(said).encode())
        assert response.status_code == 200, response.status
        return dict(response.get_json())

    def read(self, piece: int, text: str, dimension: str = "bore", **said: Any) -> dict[str, Any]:
        return self.act("reading", dimension=dimension, piece=piece, text=text, **said)

    def photo(self, data: bytes, name: str | None = None, **said: Any) -> dict[str, Any]:
        query = {"part": "cup", "op": 20, "id": name or new_name()} | said
        pairs = "&".join(f"{k}={v}" for k, v in query.items())
        response = self.post(f"/photo?{pairs}", data, Content_Type="application/octet-stream")
        return dict(response.get_json())

    @contextmanager
    def log(self) -> Iterator[Logbook]:
        with Logbook(self.folder / "logbook.db") as log:
            yield log


def new_name() -> str:
    return secrets.token_hex(16)


@pytest.fixture
def stranger(build_dir: Path) -> Phone:
    """A browser that has not scanned the code."""
    keys = Keys()
    app = make_app(build_dir / "build.toml", keys, HOST)
    return Phone(app.test_client(), build_dir, keys)


@pytest.fixture
def phone(stranger: Phone) -> Phone:
    """A browser that has."""
    return stranger.come_in()


Made = Callable[..., Phone]
