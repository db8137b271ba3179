"""A drawing from anywhere: what draws stays, what acts or fetches goes."""

from xml.etree import ElementTree

import pytest

from qlog.record.pages.svg_clean import clean

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:odd="https://drawing.example/ns" viewBox="0 0 10 10"'
)

HOSTILE = [
    "<script>steal()</script>",
    "<script href='https://away.example/x.js'/>",
    "<g onload='steal()'/>",
    "<g ONCLICK='steal()'/>",
    "<a href='javascript:steal()'><text>here</text></a>",
    "<a xlink:href='https://away.example/steal'><text>here</text></a>",
    "<image href='https://away.example/steal.png'/>",
    "<image xlink:href='//away.example/steal.png'/>",
    "<image href='file:///etc/passwd?steal'/>",
    "<image href='data:image/svg+xml;base64,PHN2Zz5zdGVhbDwvc3ZnPg=='/>",
    "<use href='https://away.example/steal.svg#a'/>",
    "<foreignObject><body xmlns='http://www.w3.org/1999/xhtml'>steal</body></foreignObject>",
    "<style>@import url(https://away.example/steal.css);</style>",
    "<style>rect { fill: url(https://away.example/steal) }</style>",
    "<style>rect { fill: u\\72l(https://away.example/steal) }</style>",
    "<rect style='fill: url(https://away.example/steal)'/>",
    "<rect fill='url(https://away.example/steal#a)'/>",
    "<rect filter=\"url('//away.example/steal#a')\"/>",
    "<set attributeName='href' to='javascript:steal()'/>",
    "<animate attributeName='href' values='javascript:steal()'/>",
    "<iframe src='https://away.example/steal'/>",
    "<g xml:base='https://away.example/steal/'/>",
    "<odd:path odd:file='/home/steal/cup.svg'/>",
    "<metadata>steal</metadata>",
    "<g odd:label='steal'/>",
    "<handler xmlns:ev='http://www.w3.org/2001/xml-events' ev:event='load'>steal()</handler>",
]


@pytest.mark.parametrize("inner", HOSTILE)
def test_what_acts_or_fetches_goes(inner: str) -> None:
    cleaned = clean(f"{HEAD}>{inner}<path d='M0 0h9'/></svg>".encode()).decode()
    assert "steal" not in cleaned and "away.example" not in cleaned
    assert 'd="M0 0h9"' in cleaned


def test_what_draws_stays() -> None:
    inner = (
        "<title>Cup</title><defs><linearGradient id='a'><stop offset='0' stop-color='#fff'/>"
        "</linearGradient></defs><style>.thin { stroke-width: .2; fill: url(#a) }</style>"
        "<g transform='rotate(45 5 5)'><rect class='thin' width='3' height='2' fill='url(#a)'/>"
        "<use href='#a'/><text x='1'>Ø8 <tspan>H7</tspan> deep</text>"
        "<image href='data:image/png;base64,iVBORw0KGgo='/></g>"
    )
    before = ElementTree.fromstring(f"{HEAD}>{inner}</svg>")
    after = ElementTree.fromstring(clean(f"{HEAD}>{inner}</svg>".encode()))
    assert ElementTree.canonicalize(ElementTree.tostring(after)) == ElementTree.canonicalize(
        ElementTree.tostring(before)
    )


@pytest.mark.parametrize(
    "text",
    [
        '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
        + HEAD
        + "><text>&b;</text></svg>",
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
        + HEAD
        + "><text>&a;</text></svg>",
        "<html xmlns='http://www.w3.org/1999/xhtml'><script>steal()</script></html>",
        HEAD + ">" + " " * 20_000_001 + "</svg>",
    ],
    ids=["entities", "a file as an entity", "a page", "too large"],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_what_is_no_plain_drawing_is_refused(text: str, encoding: str) -> None:
    with pytest.raises((ValueError, ElementTree.ParseError)):
        clean(text.encode(encoding))


def test_text_behind_what_goes_is_kept() -> None:
    cleaned = clean(
        f"{HEAD}><text>a<script>x</script>b<tspan>c</tspan><a>d</a>e</text></svg>".encode()
    )
    assert "".join(ElementTree.fromstring(cleaned).itertext()) == "abce"
