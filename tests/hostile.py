"""A build whose every text, drawing, photo and file name tries to be more than text.

Whatever runs sets `window.ran`; whatever is fetched asks 192.0.2.1, an address kept for examples
(RFC 5737) that nobody answers.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path

from tests.conftest import run_qlog
from tests.odd_photos import corners, exif

OUT = "http://192.0.2.1/x"
TEXTS = (
    "<script>ran=1</script>",
    "</script><script>ran=1</script>",
    "</title><script>ran=1</script>",
    "</style><script>ran=1</script>",
    "</textarea><script>ran=1</script>",
    "<!--><script>ran=1</script>-->",
    "<![CDATA[<script>ran=1</script>]]>",
    '"><img src=x onerror=ran=1>',
    "'><img src=x onerror=ran=1>",
    "<img src=x onerror=ran=1>",
    f"<img src={OUT}.png>",
    f'<img srcset="{OUT}.png 1x">',
    "<svg onload=ran=1>",
    "<svg><script>ran=1</script></svg>",
    "<svg><animate onbegin=ran=1 attributeName=x dur=1s>",
    f"<svg><image href={OUT}.svg /></svg>",
    f"<svg><use href={OUT}.svg#a /></svg>",
    f"<iframe src={OUT}></iframe>",
    '<iframe srcdoc="<script>parent.ran=1</script>"></iframe>',
    f"<link rel=stylesheet href={OUT}.css>",
    f"<link rel=prefetch href={OUT}>",
    f'<meta http-equiv=refresh content="0;url={OUT}">',
    f"<base href={OUT}>",
    f"<object data={OUT}></object>",
    f"<embed src={OUT}>",
    f"<video src={OUT} onerror=ran=1></video>",
    f"<audio src={OUT} onerror=ran=1></audio>",
    f"<body background={OUT} onload=ran=1>",
    f"<style>@import '{OUT}.css';</style>",
    f"<style>*{{background:url({OUT})}}</style>",
    f'" style="background:url({OUT})',
    '" onmouseover="ran=1" autofocus onfocus="ran=1',
    "' autofocus onfocus='ran=1",
    "<details open ontoggle=ran=1>",
    "<input autofocus onfocus=ran=1>",
    "<math><mtext></p><style><img src=x onerror=ran=1></style></mtext></math>",
    "<template><script>ran=1</script></template>",
    "<noscript><p title='</noscript><img src=x onerror=ran=1>'>",
    f"<form action={OUT}><button autofocus>",
    "javascript:ran=1",
    "data:text/html,<script>parent.ran=1</script>",
    "{{ 7 * 7 }}",
    "{% for a in (1, 2) %}x{% endfor %}",
    "{{ ''.__class__.__mro__ }}",
    "${7*7} #{7*7} <%= 7*7 %>",
    "&lt;script&gt;ran=1&lt;/script&gt;",
    "&#60;script&#62;ran=1&#60;/script&#62;",
    "\\u003cscript\\u003eran=1\\u003c/script\\u003e",
    "\u202e>tpircs/<1=nar>tpircs<",
    "+ADw-script+AD4-ran=1+ADw-/script+AD4-",
    "=HYPERLINK(1)+cmd|' /C calc'!A0",
    "../../../etc/passwd",
    "';DROP TABLE entry;--",
)
DRAWING = f"""<?xml version="1.0"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 viewBox="0 0 100 60" onload="window.ran=1">
<script>window.ran=1</script><script href="{OUT}.js"/>
<style>@import "{OUT}.css"; rect {{ fill: url({OUT}#a) }}</style>
<foreignObject><iframe xmlns="http://www.w3.org/1999/xhtml" src="{OUT}"/></foreignObject>
<image href="{OUT}.png" xlink:href="{OUT}.png" width="10" height="10"/>
<use xlink:href="{OUT}.svg#a"/><a href="javascript:ran=1"><rect width="40" height="20"/></a>
<set attributeName="onmouseover" to="ran=1"/><rect width="9" height="9" onclick="ran=1"
 style="background:url({OUT})" fill="url({OUT})"/>
</svg>
"""


class Hostile:
    """Texts in turn, and how many were handed out."""

    def __init__(self) -> None:
        self.used = 0
        self._texts = itertools.cycle(TEXTS)

    def text(self) -> str:
        """The next one."""
        self.used += 1
        return next(self._texts)

    def toml(self) -> str:
        """The next one as a string of TOML."""
        return json.dumps(self.text())


def _plan(h: Hostile) -> str:
    lines = [f"{key} = {h.toml()}" for key in ("title", "maker", "recipient", "occasion")]
    lines += ['units = "mm"', "[object]", *(f"{h.toml()} = {h.toml()}" for _ in range(8))]
    for _ in range(8):
        lines += ["[[credit]]", f"who = {h.toml()}", f"what = {h.toml()}"]
    for n in range(3):
        lines += [f"[material.m{n}]", f"name = {h.toml()}", f"care = {h.toml()}"]
    for n in range(3):
        lines += [
            f"[instrument.i{n}]", f"name = {h.toml()}", 'kind = "micrometer"', "step = 0.001",
            "error = 0.002", f"note = {h.toml()}",
        ]  # fmt: skip
    for n in range(5):
        lines += [
            "[[part]]", f'id = "p{n}"', f"name = {h.toml()}", f'material = "m{n % 3}"',
            "needed = 2", "spare = 1", f"drawing = {h.toml()}", f"story = {h.toml()}",
            f'image = "drawings/d{n}.svg"',
        ]  # fmt: skip
        for op in (10, 20):
            lines += [
                "[[part.op]]", f"number = {op}", f"name = {h.toml()}", f"kind = {h.toml()}",
                f"machine = {h.toml()}", f"tool = {h.toml()}", f"story = {h.toml()}",
            ]  # fmt: skip
            if op == 20:
                lines.append(f"sent-out = {h.toml()}")
        for d, inside in (("a", False), ("b", True)):
            lines += [
                "[[part.dim]]", f'id = "{d}"', f"name = {h.toml()}",
                f'callout = "Ø{12 if inside else 11.9} ±0.05"', "op = 10",
                f'measures = "{"inside" if inside else "outside"}"', f'instrument = "i{n % 3}"',
                f"note = {h.toml()}", "visible = true", "at = [0.5, 0.3]",
            ]  # fmt: skip
    lines += ["[[joint]]", 'id = "j"', f"name = {h.toml()}", 'inside = "p0.b"',
              'outside = "p1.a"', 'clearance = "0..0.3"']  # fmt: skip
    lines += ["[[item]]", 'id = "set"', f"name = {h.toml()}", "count = 2",
              "takes = { p0 = 1, p1 = 1 }"]  # fmt: skip
    return "\n".join(lines) + "\n"


def _photos(folder: Path, h: Hostile) -> None:
    folder.mkdir()
    for n in range(12):
        said = h.text()
        block = exif(
            original=f"2026:02:14 10:{n:02}:00", make=h.text()[:60], model=h.text()[:60],
            serial=h.text()[:60],
        )  # fmt: skip
        picture = corners(120 + n, 80)
        try:
            picture.save(folder / f"{n}{said.replace('/', '∕')}.jpg", "JPEG", exif=block)
        except OSError:  # Windows keeps no such names
            picture.save(folder / f"{n}.jpg", "JPEG", exif=block)


def make_hostile(top: Path) -> tuple[Path, Hostile, list[str]]:
    """The build, what was put into it, and the texts that every reader of the log must see."""
    h = Hostile()
    build = top / "build"
    (build / "drawings").mkdir(parents=True)
    (build / "build.toml").write_text(_plan(h), encoding="utf-8")
    for n in range(5):
        (build / "drawings" / f"d{n}.svg").write_text(DRAWING, encoding="utf-8")
        h.used += DRAWING.count("ran=1") + DRAWING.count(OUT)
    _photos(top / "card", h)
    from qlog.logbook.store import create

    create(build / "logbook.db")
    notes: list[str] = []

    def run(*words: str) -> None:
        ran = run_qlog("--build", str(build), *words)
        assert ran.status in (0, 1), (words, ran)

    run("photo", "add", str(top / "card"))
    for n in range(12):
        run("photo", "caption", str(n + 1), "--", h.text())
        run("photo", "place", str(n + 1), f"p{n % 5}", "10", str(n % 2 + 1))
        run("photo", "show", str(n + 1), "both")
    for n in range(5):
        run("done", f"p{n}", "10")
        for piece in ("1", "2"):
            for d, value in (("a", "11.9"), ("b", "12.0")):
                run("read", f"p{n}", "10", d, piece, value, "--note", h.text())
        run("setup", f"p{n}", "10", "2", "other", "--note", h.text())
        run("piece", f"p{n}-3", "scrap", "--why", h.text())
        run("correct", f"p{n}", "10", "a", "1", "11.901", "--why", h.text())
        run("send", f"p{n}", "20", "1-2", "--to", h.text(), "--note", h.text())
        run("back", f"p{n}", "20", "--note", h.text())
    for text in TEXTS:
        notes.append(text)
        h.used += 1
        run("note", "p0", "--", text)
    run("gauge", "check", "i0", "10", "10.001", "--note", h.text())
    run("assemble", "set-1", "p0-1", "p1-1", "--note", h.text())
    return build, h, notes
