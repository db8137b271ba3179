"""What build.toml says for those who receive the set, and the files that it names."""

from pathlib import Path

import pytest

from qlog.drawing import named_files
from qlog.drawing.build_file.load import Mistake, PlanError, check, load_text
from qlog.drawing.gift import Accepted, Finish, Gift, GiftChapter, GiftMemory
from qlog.drawing.named_files import FileKind

HEAD = 'title = "t"\n'
PART = """
[[part]]
id = "cup"
needed = 2
  [[part.op]]
  number = 10
  name = "turn"
"""


def read(text: str, folder: Path = Path()) -> Gift:
    return load_text(HEAD + text + PART, folder).gift


def noted(folder: Path, text: str) -> tuple[Mistake, ...]:
    (folder / "build.toml").write_text(HEAD + text + PART, encoding="utf-8")
    return check(folder)


def test_nothing_written_is_nothing_given() -> None:
    assert read("") == Gift()


def test_all_of_it_is_read() -> None:
    gift = read(
        'dedication = "For them."\nask = "Me."\nsafety = ["candle", "It is heavy."]\n'
        'address = "https://example.org/a/"\n'
        '[finish.bright]\nname = "bright nickel"\nkind = "nickel"\n'
        '[[chapter]]\ntitle = "Why"\n[[chapter]]\ntitle = "Then"\nat = "2026-07-24"\n'
        '[[memory]]\nline = "There."\n[[accepted]]\npiece = "cup-2"\nwhy = "Nobody sees it."\n'
    )
    assert (gift.dedication, gift.ask, gift.address) == (
        "For them.", "Me.", "https://example.org/a/",
    )  # fmt: skip
    assert gift.safety == ("candle", "It is heavy.")
    assert gift.finish("bright") == Finish("bright", "bright nickel", "nickel", "")
    assert [(c.title, c.at) for c in gift.chapters] == [
        ("Why", "beginning"),
        ("Then", "2026-07-24"),
    ]
    assert gift.chapters[0] == GiftChapter("Why", "", "beginning", ())
    assert gift.memories == (GiftMemory("", "There."),)
    assert gift.accepted == (Accepted("cup", 2, "Nobody sees it."),)


@pytest.mark.parametrize(
    ("text", "key", "accepted"),
    [
        ('safety = ["cadle"]', "cadle", "candle"),
        ('address = "example.org"', "example.org", "https://"),
        ('[[chapter]]\ntitle = "c"\nat = "2026-13-01"', "2026-13-01", "handing over"),
        ('[[accepted]]\npiece = "cop-1"\nwhy = "w"', "cop-1", "cup"),
        ('[finish.nickel]\nkind = "nikel"', "nikel", "nickel"),
        ('[letter]\ntext = "../letter.txt"', "build's folder", "letter/text.txt"),
        ('[letter]\nscan = "/etc/x.jpg"', "build's folder", "letter/scan.jpg"),
        ('[letter]\nscan = "a.pdf"', "a.pdf", ".jpg or .png"),
        ('[voice]\nfile = "v.ogg"', "v.ogg", ".mp3 or .m4a"),
        ('[[credit]]\nwho = "w"\nwhat = "w"\nportrait = "p.gif"', "p.gif", ".jpg or .png"),
    ],
)
def test_a_slip_is_named_with_what_would_do(text: str, key: str, accepted: str) -> None:
    with pytest.raises(PlanError) as error:
        read(text)
    (mistake,) = (m for m in error.value.mistakes if m.severity == "error")
    assert key in mistake.what and accepted in mistake.accepted


def test_a_finish_that_no_table_names_is_a_mistake() -> None:
    with pytest.raises(PlanError, match="nickl"):
        load_text(HEAD + "[finish.nickel]\n" + PART.replace("needed", 'finish = "nickl"\nneeded'),
                  Path())  # fmt: skip


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "is not there"),
        (b"", "is empty"),
        (b"%PDF-1.7", "is not a recording"),
        (b"ID3\x04" + b"\0" * 40, ""),
        (b"\0\0\0\x1cftypM4A ", ""),
    ],
)
def test_a_file_is_looked_at_before_it_is_needed(
    tmp_path: Path, content: bytes | None, said: str
) -> None:
    if content is not None:
        (tmp_path / "v.mp3").write_bytes(content)
    found = [m for m in noted(tmp_path, '[voice]\nfile = "v.mp3"\n') if "transcript" not in m.what]
    assert [said in m.what for m in found] == ([True] if said else [])
    assert all(m.severity == "warning" for m in found), "work at the bench goes on"


def test_a_file_that_is_too_large_is_said_to_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(named_files.LARGEST, FileKind.TEXT, 10)
    (tmp_path / "l.txt").write_text("eleven long", encoding="utf-8")
    (found,) = noted(tmp_path, '[letter]\ntext = "l.txt"\n')
    assert "the most" in found.what


def test_a_text_that_is_no_utf_8_is_no_text(tmp_path: Path) -> None:
    (tmp_path / "l.txt").write_bytes("Grüße".encode("latin-1"))
    (found,) = noted(tmp_path, '[letter]\ntext = "l.txt"\n')
    assert "is not a plain text" in found.what


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inner = tmp_path / "build"
    inner.mkdir()
    (tmp_path / "secret.txt").write_text("secret", encoding="utf-8")
    try:
        (inner / "l.txt").symlink_to(tmp_path / "secret.txt")
    except OSError:
        return  # a system on which nobody may make links has none that leads out
    (found,) = noted(inner, '[letter]\ntext = "l.txt"\n')
    assert "leads out" in found.what
