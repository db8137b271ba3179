"""Typesetting: names and dates stay whole, and every cell of a table says its column."""

import pytest

from qlog.record.publish.typeset import together, typeset
from qlog.words.catalogue import load

NAMES = ("cup-1", "cup-10", "drip-pan-C")


def whole(html: str, language: str = "en") -> str:
    return typeset(html, together(NAMES, load(language)))


def test_names_of_pieces_and_dates_are_kept_on_one_line() -> None:
    assert whole("<p>On 6 June 2026 cup-10 and drip-pan-C, not xcup-1</p>") == (
        '<p>On <span class="whole">6 June 2026</span> <span class="whole">cup-10</span> and '
        '<span class="whole">drip-pan-C</span>, not xcup-1</p>'
    )
    assert '<span class="whole">16. Mai 2026</span>' in whole("<p>am 16. Mai 2026</p>", "de")


@pytest.mark.parametrize(
    "html",
    [
        "<title>cup-1, 6 June 2026</title>",
        "<svg><title>cup-1</title><text>cup-10</text></svg>",
        '<a href="#cup-1" aria-label="cup-1, 6 June 2026"></a>',
    ],
)
def test_what_is_no_line_of_the_page_stays_as_it_is(html: str) -> None:
    assert whole(html) == html


def test_a_word_without_end_takes_no_time_without_end() -> None:
    """A note of ten million signs once took minutes: each sign began the search anew."""
    note = f"<p>{'a' * 1_000_000}-{'b' * 1_000_000}</p>"
    assert whole(note) == note


def test_a_build_without_pieces_has_dates_all_the_same() -> None:
    assert "whole" in typeset("<p>6 June 2026</p>", together((), load("en")))


HEAD = (
    '<table class="ruled">\n<thead><tr><th>Piece</th>'
    '<th class="n">Value <b>mm</b></th></tr></thead>'
)


def test_a_cell_says_its_column_and_one_over_several_says_none() -> None:
    body = (
        '<tbody>\n<tr><th>1</th><td class="n">8.01</td></tr>\n'
        '<tr><th>2</th><td colspan="1">no</td></tr>'
    )
    made = whole(f"{HEAD}{body}</tbody></table>")
    assert '<td data-label="Value mm" class="n">8.01</td>' in made
    assert '<td colspan="1">no</td>' in made
    assert made.startswith('<table class="ruled stack sorts">')


def test_only_a_long_table_is_filtered_and_only_one_of_several_rows_sorted() -> None:
    def table(rows: int) -> str:
        return whole(HEAD + "<tbody>" + "<tr><th>1</th><td>2</td></tr>" * rows + "</tbody></table>")

    assert "sorts" not in table(1) and "sorts" in table(2)
    assert "table-tools" not in table(7) and "table-tools" in table(8)


@pytest.mark.parametrize("kind", ["grid", "report-table", "pairs"])
def test_pictures_in_rows_and_columns_are_left_alone(kind: str) -> None:
    html = (
        f'<table class="ruled {kind}"><thead><tr><th>a</th></tr></thead><tr><td>1</td></tr></table>'
    )
    assert whole(html) == html
