"""The method page: how verdicts and drift are decided, in words, with their sources."""

from __future__ import annotations

from qlog.drawing.general_tolerance import name as general_name
from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.study.batch.control_charts import NELSON
from qlog.words.catalogue import Words


@frozen
class Section:
    """One question and its answer."""

    key: str
    title: str
    paragraphs: tuple[str, ...]


#: Sections of the page, with their number of paragraphs in the catalogue.
_SECTIONS = (
    ("limits", 2),
    ("uncertainty", 2),
    ("temperature", 1),
    ("numbers", 2),
    ("batch", 2),
    ("drift", 3),
    ("blank", 1),
    ("logbook", 2),
)
#: Standards and handbooks that the rules come from.
SOURCES = (
    "ISO 286-1", "ISO 2768-1", "ISO 965-1", "ISO 14405-1", "ISO 14253-1", "JCGM 106:2012",
    "ISO 1", "NIST/SEMATECH e-Handbook of Statistical Methods", "ISO 16269-6",
    NELSON[0].source,
)  # fmt: skip


def rule_text(build: Build, words: Words) -> str:
    """The decision rule that this build's verdicts follow."""
    if build.decision.guarded:
        return words("method.rule.guarded", percent=_percent(build, words))
    return words("method.rule.simple")


def rule_line(build: Build, words: Words) -> str:
    """The decision rule in a line, for every page on which a verdict may stand."""
    if build.decision.guarded:
        return words("foot.rule_guarded", percent=_percent(build, words))
    return words("foot.rule_simple")


def _percent(build: Build, words: Words) -> str:
    """The conformance probability in percent, as short as it is exact."""
    percent = f"{build.decision.conformance * 100:f}"
    return words.number(percent.rstrip("0").rstrip(".") if "." in percent else percent)


def method(build: Build, words: Words) -> dict[str, object]:
    """The sections and sources of the method page."""
    sections = [Section("verdict", words("method.verdict.title"), (rule_text(build, words),))]
    for key, count in _SECTIONS:
        paragraphs = tuple(words(f"method.{key}.p{n}") for n in range(1, count + 1))
        sections.append(Section(key, words(f"method.{key}.title"), paragraphs))
    return {"method": sections, "sources": SOURCES}


def conditions(build: Build, words: Words) -> list[str]:
    """What a measurement report must say of how it was judged."""
    said = [rule_text(build, words), words("report.corrected")]
    if build.general:
        said.append(words("report.general_line", general=general_name(build.general)))
    return said
