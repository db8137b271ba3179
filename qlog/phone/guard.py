"""The guard: who may ask, from where, how much and how often; and what an answer may do.

Asked before anything else is done with a request. A refusal says nothing but its number.
"""

from __future__ import annotations

import hmac
import secrets
import time
from collections.abc import Callable

from flask import Flask, Response, abort, request

COOKIE = "qlog_phone"
#: A header that a form of another page cannot send.
OURS = "X-Qlog-Phone"
#: Bytes of an entry, and of a photo (a phone's largest JPEG today has about 30 MB).
MOST, MOST_PHOTO = 16_384, 40_000_000

#: The page runs its own scripts and styles, shows its own pictures, and asks nobody else.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=()",
}


class Guard:
    """Lets through what comes from a phone that has scanned the code, and nothing else.

    `host` is the one address and port that were chosen, as a browser writes them. `entries`,
    `photos` and `strangers` are the rates of each.
    """

    def __init__(self, app: Flask, keys: Keys, host: str) -> None:
        self.keys = keys
        self.host = host
        self.entries = Rate(burst=200, per_second=20)
        self.photos = Rate(burst=30, per_second=2)
        self.strangers = Rate(burst=20, per_second=0.5)
        app.before_request(self._before)
        app.after_request(self._after)

    def _before(self) -> None:
        # A name that leads here from elsewhere (DNS rebinding) is another host than the chosen.
        if request.host != self.host:
            abort(403)
        if request.method not in ("GET", "HEAD", "POST"):
            abort(405)
        if request.endpoint == "come_in":
            return  # the key itself is looked at there
        if not self.keys.admits(request.cookies.get(COOKIE)):
            if not self.strangers.take():
                abort(429)
            abort(403)
        photo = request.endpoint in ("photo", "scan")
        if not (self.photos if photo else self.entries).take():
            abort(429)
        if request.method == "POST":
            self._from_our_page()
            length = request.content_length
            if length is None:
                abort(411)
            if length > (MOST_PHOTO if photo else MOST):
                abort(413)

    def _from_our_page(self) -> None:
        """Refuse what another page made the browser send (CSRF)."""
        if request.headers.get("Origin") != f"http://{self.host}":
            abort(403)
        if request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
            abort(403)
        if request.headers.get(OURS) != "1":
            abort(403)

    def _after(self, response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers[name] = value
        response.headers.setdefault("Cache-Control", "no-store")
        if response.status_code >= 400 and not response.is_json:
            response.set_data(b"")
        return response


def clock() -> float:
    """Seconds that only go forward."""
    return time.monotonic()


class Rate:
    """So many at once, and then so many a second."""

    def __init__(
        self, burst: int, per_second: float, now: Callable[[], float] | None = None
    ) -> None:
        self._burst = float(burst)
        self._per_second = per_second
        self._now = now or clock
        self._left = float(burst)
        self._at = self._now()

    def take(self) -> bool:
        """Whether one more may pass now."""
        at = self._now()
        self._left = min(self._burst, self._left + (at - self._at) * self._per_second)
        self._at = at
        if self._left < 1:
            return False
        self._left -= 1
        return True


class Keys:
    """A key made fresh for one run, and the passes handed out for it.

    Nothing of it is written to disk: with the end of the command all passes are void.
    """

    def __init__(self) -> None:
        self.key = secrets.token_urlsafe(18)
        self._passes: set[str] = set()

    def exchange(self, offered: str) -> str | None:
        """A pass for the key; None for any other text."""
        if not hmac.compare_digest(offered.encode("utf-8"), self.key.encode("utf-8")):
            return None
        made = secrets.token_urlsafe(24)
        self._passes.add(made)
        return made

    def admits(self, offered: str | None) -> bool:
        """Whether a pass was handed out in this run."""
        if not offered:
            return False
        mine = offered.encode("utf-8")
        return any(hmac.compare_digest(mine, p.encode("utf-8")) for p in self._passes)
