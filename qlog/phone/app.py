"""The page's addresses, and what each of them answers."""

from __future__ import annotations

from pathlib import Path

from flask import Flask, Response, abort, jsonify, make_response, request

from qlog.intake.typed.places import op_of, part_of
from qlog.logbook.log_file import LogbookError
from qlog.phone.acts import BadAct, act_of
from qlog.phone.bench import operation_page, start_page
from qlog.phone.desk import Desk, PlanSpoilt
from qlog.phone.guard import COOKIE, Guard, Keys
from qlog.phone.photos import keep_photo, scan
from qlog.problem import Problem
from qlog.record.publish.templates import environment, folder
from qlog.words.catalogue import DEFAULT, Words, load, words_of
from qlog.words.problems import in_words

#: Files of the page: its scripts and its style.
FILES = {
    **{
        f"{name}.js": "text/javascript; charset=utf-8"
        for name in ("queue", "send", "sheet", "page")
    },
    "phone.css": "text/css; charset=utf-8",
}
#: The page itself holds nothing of the build and may be kept by the phone, so that it can be
#: opened again while the laptop is away. What is logged is never kept by the browser.
KEPT = "private, max-age=604800"


def make_app(plan: Path, keys: Keys, host: str, person: str = "") -> Flask:
    """The application for one build, for one address and port; `person` is who enters."""
    app = Flask("qlog.phone", static_folder=None)
    desk = Desk(plan, person)
    guard = Guard(app, keys, host)
    _answer_errors(app, desk)
    _serve_pages(app, desk, keys, guard)
    _serve_acts(app, desk)
    return app


def _answer_errors(app: Flask, desk: Desk) -> None:
    """What went wrong, as the page understands it, in the build's language."""

    def said(error: Problem) -> str:
        return in_words(load(DEFAULT) if desk.known is None else words_of(desk.known), error)

    @app.errorhandler(BadAct)
    def _bad(error: BadAct) -> tuple[Response, int]:
        return jsonify(status="bad", text=str(error)), 400

    @app.errorhandler(LogbookError)
    @app.errorhandler(PlanSpoilt)
    def _busy(error: Problem) -> tuple[Response, int]:
        return jsonify(status="busy", text=said(error)), 503

    @app.errorhandler(Problem)
    def _problem(error: Problem) -> tuple[Response, int]:
        return jsonify(status="refused", text=said(error)), 422


def _serve_pages(app: Flask, desk: Desk, keys: Keys, guard: Guard) -> None:
    """The page, its files, and the way in."""
    home = folder() / "phone"

    @app.get("/come-in/<key>")
    def come_in(key: str) -> Response:
        got = keys.exchange(key)
        if got is None:
            abort(403 if guard.strangers.take() else 429)
        # No redirect: a page of our own leads on, so that the strict cookie goes with it.
        to = "/#sheet" if "sheet" in request.args else "/"
        response = make_response(_render("come-in.html", to=to))
        response.set_cookie(COOKIE, got, httponly=True, samesite="Strict")
        return response

    def _render(name: str, **given: object) -> str:
        with desk.open() as (build, _):
            words = words_of(build)
        template = environment(words).get_template(f"phone/{name}")
        return template.render(texts=_texts(words), **given)

    @app.get("/")
    def page() -> Response:
        response = make_response(_render("page.html"))
        response.headers["Cache-Control"] = KEPT
        return response

    @app.get("/files/<name>")
    def files(name: str) -> Response:
        if name not in FILES:
            abort(404)
        response = make_response((home / name).read_bytes())
        response.headers["Content-Type"] = FILES[name]
        response.headers["Cache-Control"] = KEPT
        return response


def _serve_acts(app: Flask, desk: Desk) -> None:
    """What the page asks for and what it enters."""

    @app.get("/start")
    def start() -> Response:
        with desk.open() as (build, logbook):
            return jsonify(start_page(build, logbook, words_of(build)))

    @app.get("/operation/<part>/<op>")
    def operation(part: str, op: str) -> Response:
        with desk.open() as (build, logbook):
            owner = part_of(build, part)
            number = op_of(owner, op).number
            return jsonify(operation_page(build, logbook, owner, number, words_of(build)))

    @app.post("/act")
    def act() -> Response:
        said = request.get_json(silent=True)
        if not isinstance(said, dict):
            raise BadAct("act")
        with desk.open() as (build, logbook):
            return jsonify(act_of(build, logbook, words_of(build), said))

    @app.post("/photo")
    def photo() -> Response:
        with desk.open() as (build, logbook):
            said: dict[str, object] = {**request.args}
            said["waited"] = request.args.get("waited", 0.0, type=float)
            return jsonify(keep_photo(build, logbook, words_of(build), said, request.get_data()))

    @app.post("/scan", endpoint="scan")
    def scan_() -> Response:
        data = request.get_data()
        with desk.open() as (build, _):
            pass
        return jsonify(scan(build, data))


def _texts(words: Words) -> dict[str, str]:
    """The texts that the page's script says, by key."""
    return {
        key.removeprefix("phone.js."): words(key)
        for key in dict.fromkeys(words.texts.whole())  # type: ignore[attr-defined]
        if key.startswith("phone.js.")
    }
