"""The guard: who may ask, from where, how much and how often; and what an answer may do.

Asked before anything else is done with a request. A refusal says nothing but its number.
"""

from __future__ import annotations

from flask import Flask, Response, abort, request

from qlog.phone.access import Keys
from qlog.phone.rates import Rate

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
