"""The templates: no text of their own, no arithmetic, and no unknown name goes through."""

import re
from pathlib import Path

import jinja2
import pytest
from jinja2 import nodes

from qlog.record.publish import templates
from qlog.words.catalogue import load

FOLDER = templates.folder()
#: The record's own; cards to be photographed are pages of another kind.
OURS = ("maker", "recipient", "shared")
TEMPLATES = sorted(
    p.relative_to(FOLDER).as_posix()
    for folder in OURS
    for p in (FOLDER / folder).rglob("*")
    if p.suffix in (".html", ".txt")
)
#: Attributes whose value a reader sees or hears.
SPOKEN = ("alt", "title", "aria-label", "placeholder", "content")


def parsed(name: str) -> nodes.Template:
    return templates.environment(load("en")).parse((FOLDER / name).read_text(encoding="utf-8"))


def hard_text(markup: str) -> list[str]:
    """Words that stand between tags, or in an attribute that is read out."""
    markup = re.sub(r"<!--.*?-->", "", markup, flags=re.DOTALL)
    found = [
        value
        for name, value in re.findall(r'\s([\w-]+)="([^"\x00]*)"', markup)
        if name in SPOKEN and re.search(r"[^\W\d_]{2}", value)
    ]
    between = re.sub(r"<[^>]*>", " ", markup)
    return [w for w in found if not w.startswith(("width=", "light", "no-ref", "default-src"))] + (
        re.findall(r"[^\W\d_]{2,}", between)
    )


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_holds_text_of_its_own(name: str) -> None:
    # What a template computes stands for itself as a NUL, so that tags stay whole.
    pieces = []
    for node in parsed(name).find_all(nodes.Output):
        for part in node.nodes:
            pieces.append(part.data if isinstance(part, nodes.TemplateData) else "\x00")
    markup = "".join(pieces)
    if name.endswith(".txt"):
        markup = markup.replace("sha256sum -c MANIFEST.sha256", "")
    assert hard_text(markup) == []


def test_hard_text_is_recognised() -> None:
    assert hard_text("<p>Foot</p>") == ["Foot"]
    assert hard_text('<img alt="A foot" class="photo">') == ["A foot"]
    assert hard_text('<p class="soft"><b>\x00</b> · 12</p>') == []


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_computes(name: str) -> None:
    sums = (nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow)
    assert not list(parsed(name).find_all(sums))
    filters = {node.name for node in parsed(name).find_all(nodes.Filter)}
    assert not filters & {"sum", "round", "abs", "int", "float", "safe", "min", "max"}


@pytest.mark.parametrize("name", [t for t in TEMPLATES if t.endswith(".html")])
def test_no_template_styles_or_scripts_in_place(name: str) -> None:
    text = (FOLDER / name).read_text(encoding="utf-8")
    assert not re.search(r"\sstyle\s*=|<style|\son\w+\s*=|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert "http://" not in text and "https://" not in text


def test_an_unknown_name_is_an_error_and_text_is_escaped() -> None:
    environment = templates.environment(load("en"))
    with pytest.raises(jinja2.UndefinedError):
        environment.from_string("{{ nothing }}").render()
    with pytest.raises(jinja2.UndefinedError):
        environment.from_string("{{ page.nothing }}").render(page=object())
    assert environment.from_string("{{ x }}").render(x="<b>&") == "&lt;b&gt;&amp;"


def test_the_folder_is_found_beside_the_package_in_a_checkout() -> None:
    assert (FOLDER / "shared" / "base.html").is_file()
    assert Path(__file__).parents[2] in FOLDER.parents
