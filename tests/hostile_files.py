# ruff: noqa: E501, ARG005 - data on one line each
"""Files and folders as somebody with bad intentions hands them over: 200 and more of them.

Each is handed to the commands that a person would try on it. What must hold: our own word or an
answer, no traceback, no wait; the secret that lies outside appears nowhere; nothing outside changes.
"""

from __future__ import annotations

import io
import os
import shutil
import sqlite3
import sys
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from tests.conftest import SMALL_PLAN, run_qlog
from tests.fuzzing import limited
from tests.odd_photos import corners

#: Stands in files outside of what was received; nobody may read it out.
SECRET = "the-word-that-nobody-may-know"
SUM = "0" * 64


@dataclass(frozen=True)
class Case:
    """One thing that was received: what it is, how it is made, and what is tried on it."""

    name: str
    make: Callable[[Path, Path], None]  # received folder, folder outside
    tried: tuple[tuple[str, ...], ...]


PATHS = (
    "../../secret.txt", "../secret.txt", "{outside}/secret.txt", "a/../../../secret.txt", "/etc/passwd",
    "..\\..\\secret.txt", "C:\\secret.txt", "C:secret.txt", "\\\\host\\share\\x", "//host/share/x", "..",
    ".", "./", "/", "~/secret.txt", "$HOME/secret.txt", "%USERPROFILE%\\x", "file:///etc/passwd",
    "http://192.0.2.1/x", "con", "NUL", "aux.txt", "x:stream", "\x1b[31mred\x1b[0m", "\x1b]0;t\x07",
    "\x07", "x\x00y", "\u202egnp.x", "a" * 5000, "a/" * 900 + "x", "-rf", "--help", "`id`", "$(id)",
    ";id", "|id", "*", "?", "<script>ran=1</script>", "{{ 7 * 7 }}", "%s%s%n", "\ufeffx", "\r",
)  # fmt: skip


def _manifests() -> Iterator[Case]:
    def texts(outside: Path) -> list[tuple[str, bytes]]:
        listed = [
            (f"names {p[:24]!r}", f"{SUM}  {p.format(outside=outside)}\n".encode())
            if p != "{{ 7 * 7 }}"
            else (p, f"{SUM}  {p}\n".encode())
            for p in PATHS
        ]
        return [
            *listed,
            ("empty", b""), ("zeros", b"\0" * 9999), ("not utf-8", b"\xff" * 999), ("utf-16", "x".encode("utf-16")),
            ("a long line", b"0" * 3_000_000), ("many lines", f"{SUM}  a\n".encode() * 30_000),
            ("short sum", b"00  a\n"), ("great letters", b"A" * 64 + b"  a\n"), ("no name", SUM.encode() + b"  \n"),
            ("no space", SUM.encode() + b"a\n"), ("crlf", SUM.encode() + b"  a\r\n"), ("twice", f"{SUM}  a\n".encode() * 2),
            ("itself", f"{SUM}  MANIFEST.sha256\n".encode()), ("exponent", b"1e64" * 16 + b"  a\n"),
        ]  # fmt: skip

    for number in range(len(texts(Path("/x")))):

        def make(folder: Path, outside: Path, number: int = number) -> None:
            (folder / "MANIFEST.sha256").write_bytes(texts(outside)[number][1])
            (folder / "record.json").write_text('{"made_by": "qlog record"}', encoding="utf-8")

        name = texts(Path("/x"))[number][0]
        yield Case(f"manifest {name}", make, (("record", "--check", "{it}"),))
    for kind in ("fifo", "folder", "link", "device", "endless"):
        for file in ("MANIFEST.sha256", "record.json", "index.html"):
            if (kind, file) == ("endless", "index.html"):
                continue  # a record may hold a long film: it is read to its end

            def put(folder: Path, outside: Path, kind: str = kind, file: str = file) -> None:
                (folder / "MANIFEST.sha256").write_text(f"{SUM}  index.html\n", encoding="utf-8")
                _odd(folder / file, kind, outside)

            yield Case(f"record with a {kind} for {file}", put, (("record", "--check", "{it}"),))


def _odd(path: Path, kind: str, outside: Path) -> None:
    """Something else in a file's place."""
    path.unlink(missing_ok=True)
    if kind == "folder":
        path.mkdir()
    elif kind == "fifo":
        os.mkfifo(path)
    elif kind == "link":
        path.symlink_to(outside / "secret.txt")
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "round":
        path.symlink_to(path)
    else:  # more than anybody reads
        with path.open("wb") as file:
            file.truncate(3 << 30)


SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</worksheet>'
)
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "{}">'.format("a" * 1000)
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 20}">' for a, b in zip("abcdef", "bcdefg", strict=True))
    + ']><x>&g;</x>'
)  # fmt: skip
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file://{}/secret.txt">]><x>&a;</x>'


def _zips() -> Iterator[Case]:
    def book(part: str, text: str | bytes, outside: Path) -> bytes:
        """A sound spreadsheet with one of its parts exchanged."""
        import xlsxwriter

        whole, changed = io.BytesIO(), io.BytesIO()
        with xlsxwriter.Workbook(whole) as made:
            made.add_worksheet().write_row(0, 0, ["piece", "bore"])
        with (
            zipfile.ZipFile(whole) as old,
            zipfile.ZipFile(changed, "w", zipfile.ZIP_DEFLATED) as new,
        ):
            for info in old.infolist():
                if info.filename != part:
                    new.writestr(info.filename, old.read(info))
            if isinstance(text, str):
                text = text.replace("{}", str(outside))
            new.writestr(part, text)
        return changed.getvalue()

    sheet = "xl/worksheets/sheet1.xml"
    far = '<sheetData><row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
    variants: list[tuple[str, Callable[[Path], bytes]]] = [
        ("a far cell", lambda o: book(sheet, SHEET.format(far), o)),
        ("a wide dimension", lambda o: book(sheet, SHEET.format('<dimension ref="A1:XFD1048576"/><sheetData/>'), o)),
        ("packed zeros", lambda o: book(sheet, b"\0" * 200_000_000, o)),
        ("packed blanks", lambda o: book(sheet, SHEET.format(" " * 100_000_000).encode(), o)),
        ("entities", lambda o: book(sheet, BOMB, o)),
        ("entities in strings", lambda o: book("xl/sharedStrings.xml", BOMB, o)),
        ("a file outside", lambda o: book("xl/sharedStrings.xml", OUTSIDE, o)),
        ("a path upwards", lambda o: book("../../../evil.txt", "x", o)),
        ("an absolute path", lambda o: book("/tmp/evil.txt", "x", o)),
        ("a broken workbook", lambda o: book("xl/workbook.xml", "<x", o)),
        ("no rows", lambda o: book(sheet, SHEET.format(""), o)),
        ("a link", lambda o: book("xl/_rels/workbook.xml.rels", OUTSIDE, o)),
        ("cut off", lambda o: book(sheet, SHEET.format(""), o)[:900]),
        ("empty", lambda o: b"PK\5\6" + b"\0" * 18),
        ("nothing", lambda o: b""),
        ("a page", lambda o: b"<html><script>ran=1</script>"),
        ("zeros", lambda o: b"PK\3\4" + b"\0" * 5000),
    ]  # fmt: skip
    for name, data in variants:
        for ending in ("xlsx", "ods", "csv"):

            def make(
                folder: Path,
                outside: Path,
                ending: str = ending,
                data: Callable[[Path], bytes] = data,
            ) -> None:
                (folder / f"in.{ending}").write_bytes(data(outside))

            yield Case(
                f"{ending}: {name}", make,
                (("--build", "{build}", "read", "--csv", f"{{it}}/in.{ending}", "--dry-run"),),
            )  # fmt: skip


TRIED = (
    ("--build", "{it}", "status"), ("--build", "{it}", "verify"), ("--build", "{it}", "record", "--zip"),
    ("--build", "{it}", "export"), ("--build", "{it}", "backup", "{aside}/dest"),
    ("--build", "{it}", "photo", "list"), ("restore", "{it}", "{aside}/again"),
    ("--build", "{build}", "merge", "{it}"), ("--build", "{it}", "note", "cup", "x"),
)  # fmt: skip


def _sound(folder: Path) -> None:
    """A received build as it should be: a reading, and a photo in its place."""
    shutil.copytree(Case_TEMPLATE[0], folder, dirs_exist_ok=True)


Case_TEMPLATE: list[Path] = []


def prepare(top: Path) -> None:
    """The sound build that all received ones begin with."""
    build = top / "template"
    build.mkdir()
    (build / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
    from qlog.logbook.store import create

    create(build / "logbook.db")
    corners(80, 60).save(top / "p.jpg", "JPEG")
    for line in (
        "done cup 10 1",
        "read cup 20 bore 1 22.01",
        f"photo add {top}/p.jpg --part cup --op 10",
    ):
        ran = run_qlog("--build", str(build), *line.split())
        assert ran.status in (0, 1), ran
    run_qlog("--build", str(build), "photo", "show", "1", "both")
    Case_TEMPLATE[:] = [build]


def _without_triggers(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA synchronous = OFF")  # sixty statements, each of which would be synced
        triggers = db.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for name, _ in triggers:
            db.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            with suppress(sqlite3.Error):
                db.execute(statement)
        for _, sql in triggers:
            with suppress(sqlite3.Error):
                db.execute(sql)


LOGS = (
    "UPDATE photo SET name = '../../../evil.jpg'", "UPDATE photo SET sha256 = '../../../secret'",
    "UPDATE photo SET sha256 = '*'", "UPDATE photo SET width = 2000000000, height = 2000000000",
    "UPDATE photo SET size = -1", "UPDATE reading SET value = '1e999'", "UPDATE reading SET value = 'nan'",
    "UPDATE reading SET value = '9' || hex(zeroblob(200000))", "UPDATE reading SET unit = 'x'",
    "UPDATE reading SET part = '../../x'", "UPDATE reading SET piece = 9223372036854775807",
    "UPDATE reading SET piece = -5", "UPDATE reading SET op = 0", "UPDATE entry SET kind = 'sqlite_master'",
    "UPDATE entry SET kind = 'entry'", "UPDATE entry SET kind = '\"; DROP TABLE entry; --'",
    "UPDATE entry SET made = '9999-12-31T23:59:59+23:59'", "UPDATE entry SET made = '0001-01-01T00:00:00+14:00'",
    "UPDATE entry SET entered = ''", "UPDATE entry SET supersedes = id", "UPDATE entry SET before = 'x y z'",
    "UPDATE entry SET person = char(27) || '[31m'", "UPDATE done SET piece = 9223372036854775807",
    "UPDATE reading SET note = hex(zeroblob(5000000))", "UPDATE reading SET typed = char(27) || ']0;x' || char(7)",
    "UPDATE revision SET source = hex(zeroblob(5000000))", "UPDATE revision SET source = 'title = '",
    "DELETE FROM revision", "DELETE FROM photo", "DELETE FROM placement", "DROP TABLE reading", "DROP TABLE entry",
    "DROP VIEW reading_current", "CREATE TRIGGER t AFTER INSERT ON entry BEGIN DELETE FROM reading; END",
    "CREATE TRIGGER t AFTER INSERT ON note BEGIN INSERT INTO note SELECT * FROM note; END",
    "CREATE VIEW v AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT * FROM c",
    "CREATE TABLE big AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c LIMIT 90000) SELECT * FROM c",
    "ALTER TABLE reading RENAME TO r", "ALTER TABLE reading ADD COLUMN evil TEXT", "PRAGMA user_version = 99",
    "PRAGMA user_version = 1", "PRAGMA user_version = -1", "PRAGMA application_id = 7", "PRAGMA journal_mode = WAL",
    "CREATE VIRTUAL TABLE f USING fts5(x)",
    "DROP VIEW needs", "CREATE INDEX i ON reading (abs(piece))",
)  # fmt: skip
#: The same as a table or view in the place of one of ours: it never ends, or is not what it seems.
ENDLESS = "WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT x AS entry, x AS sha256, x AS name, x AS size FROM c"
VIEWS = (
    ("photo", ENDLESS), ("reading", ENDLESS), ("reading", "SELECT 1 AS entry"), ("needs", "SELECT 'x' || char(27) AS qlog"),
    ("entry", "SELECT 1 AS id"),
)  # fmt: skip
PLANS = (
    'image = "{outside}/secret.png"', 'image = "../outside/secret.png"', 'image = "linked.png"', 'image = "pipe.png"',
    'image = "device.png"', 'image = "C:\\\\secret.png"', 'image = "\\\\\\\\host\\\\share\\\\x.png"', 'image = "http://192.0.2.1/x.png"',
    'image = "file:///etc/passwd"', 'image = "bomb.svg"', 'image = "outside.svg"', 'image = "huge.png"', 'image = "."',
    'drawing = "\\u001b[31m"',
)  # fmt: skip


def _builds() -> Iterator[Case]:
    for statement in LOGS:

        def spoilt(folder: Path, outside: Path, statement: str = statement) -> None:
            _sound(folder)
            _without_triggers(folder / "logbook.db", statement)

        yield Case(f"log: {statement[:60]}", spoilt, TRIED)
    for table, view in VIEWS:

        def shadowed(folder: Path, outside: Path, table: str = table, view: str = view) -> None:
            _sound(folder)
            _without_triggers(
                folder / "logbook.db",
                "PRAGMA foreign_keys = OFF",
                f"DROP TABLE {table}",
                f"DROP VIEW {table}",
                f"CREATE VIEW {table} AS {view}",
            )

        yield Case(f"log: {table} is {view[:30]}", shadowed, TRIED)
    for line in PLANS:

        def planned(folder: Path, outside: Path, line: str = line) -> None:
            _sound(folder)
            plan = SMALL_PLAN.replace(
                'id = "cup"', 'id = "cup"\n' + line.replace("{outside}", str(outside))
            )
            (folder / "build.toml").write_text(plan, encoding="utf-8")
            (folder / "linked.png").symlink_to(outside / "secret.png")
            os.mkfifo(folder / "pipe.png")
            (folder / "device.png").symlink_to("/dev/zero")
            (folder / "bomb.svg").write_text(BOMB, encoding="utf-8")
            (folder / "outside.svg").write_text(OUTSIDE.format(outside), encoding="utf-8")
            with (folder / "huge.png").open("wb") as file:
                file.truncate(300 << 20)  # larger than any picture; a backup takes it along

        yield Case(f"plan: {line}", planned, TRIED)
    for kind in ("fifo", "folder", "link", "device", "round"):
        for file in ("build.toml", "logbook.db", "logbook.db-journal", "logbook.db-wal", "photos", "record", "backup",
                     "backup.json", "backup/last.json", "{photo}"):  # fmt: skip

            def odd(folder: Path, outside: Path, kind: str = kind, file: str = file) -> None:
                _sound(folder)
                photo = next((folder / "photos").rglob("*.jpg"))
                path = photo if file == "{photo}" else folder / file
                path.parent.mkdir(exist_ok=True)
                if path.is_dir():
                    shutil.rmtree(path)
                _odd(path, kind, outside)
                if kind == "link" and file == "{photo}":
                    path.unlink()
                    path.symlink_to(outside / "secret.png")
                if kind == "link" and file in ("photos", "record", "backup"):
                    path.unlink()
                    path.symlink_to(outside, target_is_directory=True)

            yield Case(f"build with a {kind} for {file}", odd, TRIED)
    for name, data in (
        ("a script", b"<svg xmlns='http://www.w3.org/2000/svg'><script>ran=1</script></svg>"),
        ("a page", b"<html><script>ran=1</script>"), ("nothing", b""), ("a head only", b"\xff\xd8\xff\xe0"),
        ("zeros", b"\0" * 100_000), ("a program", b"MZ" + b"\0" * 200),
    ):  # fmt: skip

        def pictured(folder: Path, outside: Path, data: bytes = data) -> None:
            _sound(folder)
            photo = next((folder / "photos").rglob("*.jpg"))
            photo.chmod(0o644)
            photo.write_bytes(data)

        yield Case(f"photo: {name}", pictured, TRIED)
    for name, data in (
        ("not utf-8", b"\xff\xfe\xfd" * 99), ("zeros", b"\0" * 9999), ("nothing", b""), ("deep", b"a = " + b"[" * 90_000),
        ("a deep key", b"[" + b"a." * 50_000 + b"a]"), ("great", b"# " + b"x" * 20_000_000), ("a bomb of tables", b"[[part]]\n" * 50_000),
    ):  # fmt: skip

        def text(folder: Path, outside: Path, data: bytes = data) -> None:
            _sound(folder)
            (folder / "build.toml").write_bytes(data)

        yield Case(f"plan: {name}", text, TRIED)


def cases() -> list[Case]:
    """All of them; POSIX, for pipes and links."""
    assert sys.platform != "win32"
    return [*_manifests(), *_zips(), *_builds()]


def outside_of(top: Path) -> tuple[Path, dict[str, bytes]]:
    """What lies beside what was received: secrets, and how they look."""
    outside = top / "outside"
    outside.mkdir()
    (outside / "secret.txt").write_text(SECRET, encoding="utf-8")
    # Its colour is found again in any rendition.
    from PIL import Image

    Image.new("RGB", (64, 64), (255, 0, 255)).save(outside / "secret.png")
    return outside, {p.name: p.read_bytes() for p in outside.iterdir()}


def hand_over(case: Case, folder: Path, top: Path, tried: int | None = None) -> list[str]:
    """Try what is tried on it; what went wrong. `tried` chooses one of the commands."""
    outside = top / "outside"
    before = {p.name: p.read_bytes() for p in outside.iterdir()}
    wrong: list[str] = []
    commands = case.tried if tried is None else (case.tried[tried % len(case.tried)],)
    for number, words in enumerate(commands):
        it, aside, build = (folder / f"{n}{number}" for n in ("it", "aside", "build"))
        for path in (it, aside):
            path.mkdir(parents=True)
        case.make(it, outside)
        if any("{build}" in w for w in words):
            shutil.copytree(Case_TEMPLATE[0], build)
        line = [w.format(it=it, aside=aside, build=build) for w in words]

        try:
            with limited():
                ran = run_qlog(*line)
        except BaseException as error:
            import traceback

            wrong.append(
                f"{case.name}: {' '.join(words)}: {type(error).__name__}: {str(error)[:200]} ({' '.join(f'{Path(a.filename).name}:{a.lineno}' for a in traceback.extract_tb(error.__traceback__)[-6:])})"
            )
            continue
        said = ran.out + ran.err
        if ran.status not in (0, 1, 2) or "Traceback" in said:
            wrong.append(f"{case.name}: {' '.join(words)}: {ran.status} {said[-300:]}")
        if SECRET in said:
            wrong.append(f"{case.name}: {' '.join(words)}: said {said[-300:]!r}")
        for path in (*folder.rglob("*"),):
            if path.is_symlink() or not path.is_file() or path.stat().st_size > 1 << 24:
                continue
            if _holds_secret(path):
                wrong.append(
                    f"{case.name}: {' '.join(words)}: the secret is in {path.relative_to(folder)}"
                )
        after = {p.name: p.read_bytes() for p in outside.iterdir() if p.is_file()}
        if after != before or len(list(outside.iterdir())) != len(before):
            wrong.append(
                f"{case.name}: {' '.join(words)}: changed outside: {sorted(p.name for p in outside.iterdir())}"
            )
            for path in outside.iterdir():
                if path.name not in before:
                    shutil.rmtree(path) if path.is_dir() else path.unlink()
        shutil.rmtree(folder, ignore_errors=True)
    return wrong


def _holds_secret(path: Path) -> bool:
    data = path.read_bytes()
    if SECRET.encode() in data:
        return True
    if data[:3] != b"\xff\xd8\xff" and data[:4] != b"\x89PNG":
        return False
    from PIL import Image

    with suppress(Exception), Image.open(path) as picture:
        red, green, blue = picture.convert("RGB").resize((1, 1)).getpixel((0, 0))
        return red > 200 and green < 60 and blue > 200
    return False
