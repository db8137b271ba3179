"""The command line's front door: finds the noun's module, loads only that, shows problems."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from qlog import __version__
from qlog.cli.usage import refusal, speak
from qlog.problem import Problem, ToSay

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from qlog.words.catalogue import Words

#: Command -> (module, short help). The help stands here so that `qlog --help` loads no command.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("plan.new", "Begin a build: a few questions, a short build.toml, a logbook."),
    "add": ("plan.add", "Add to the plan: a part, op, dimension, instrument, joint, items."),
    "rename": (
        "plan.rename",
        "Call a part, op, dimension, instrument, item or stack otherwise.",
    ),
    "revise": ("plan.revise", "Other limits, from a piece on if you say so; list the revisions."),
    "learn": ("plan.learn", "Learn from an earlier build how dimensions scatter."),
    "drawing": ("plan.drawing", "Picture of a part's drawing, and where dimensions stand on it."),
    "plan": ("plan.plan", "Show routes, dimensions and limits; check build.toml."),
    "start": ("bench.start", "Begin an operation: what it needs first, and how to stay safe."),
    "read": ("bench.read", "Enter readings: one, down the pieces, or from a file."),
    "done": ("bench.done", "Mark an operation as done on pieces."),
    "setup": ("bench.setup", "Say that the tool was changed, re-touched or offset before a piece."),
    "piece": ("bench.piece", "A piece's history; or decide: scrap, rework, use as is."),
    "stock": ("numbers.stock", "Count the pieces: live, spare, scrapped and why; is it enough?"),
    "cut": ("numbers.cut", "Reckon the bar for the blanks: how long, what from which bar."),
    "correct": ("bench.correct", "Correct a reading, with a reason; the old one stays visible."),
    "undo": ("bench.undo", "Take back what was entered by mistake, with a reason."),
    "note": ("bench.note", "Keep a remark with a part, an operation or a piece."),
    "send": ("bench.send", "Count pieces out for an operation done elsewhere."),
    "back": ("bench.back", "Count them in, and see what it did to the sizes."),
    "card": ("photos.card", "Print cards to photograph first, so that photos find their place."),
    "photo": ("photos.photo", "Take photos in and put them in their place."),
    "phone": ("bench.phone", "Enter readings and photos from a phone at the machine."),
    "sheet": ("bench.sheet", "Write a sheet to print: cautions, limits, blank cells."),
    "find": ("numbers.find", "Look up a day, a piece, an operation's photos, a note's word."),
    "status": ("numbers.status", "What next, what is missing, what is out."),
    "spread": ("numbers.spread", "Spread and out-of-tolerance counts of every dimension."),
    "drift": (
        "numbers.drift",
        "Is a dimension creeping, and at which piece will it leave the limits?",
    ),
    "gauge": ("numbers.gauge", "Check instruments, study their repeatability, print budgets."),
    "fit": ("numbers.fit", "Clearance of every pair, the best pairing, stacks, what to aim at."),
    "match": ("numbers.match", "Choose the pieces of every item: fits first, then alike."),
    "assemble": ("handing_over.assemble", "Say which pieces became which item."),
    "record": ("handing_over.record", "Build the record to keep and to hand over."),
    "merge": ("handing_over.merge", "Make two logbooks of this build one: laptop and PC, stick."),
    "export": ("handing_over.export", "Write the readings for other programs: CSV, JSON, .xlsx."),
    "verify": ("handing_over.verify", "Check the logbook and every original photo."),
    "backup": ("handing_over.backup", "Copy log, photos and plan to another disk, and check them."),
    "restore": ("handing_over.restore", "Make the build of a backup again in an empty folder."),
    "manual": ("manual", "The reference: callouts, keys of build.toml, how things are decided."),
    "demo": ("plan.demo", "Make the example build: eight table candlesticks."),
}


def _two_words(args: Sequence[str]) -> bool:
    """Whether two words come first that are no options and no decision about a piece."""
    words = list(args[:2])
    return len(words) == 2 and not words[0].startswith("-") and words[0] not in _DECISIONS


def _of_piece(rest: Sequence[str]) -> str:
    """The command that a piece's name begins: `cup-3`, `cup-3 done`, `cup-3 bore 22.03`.

    A reading with `--why` corrects the one that is there; anything else is the piece's history, or
    a decision about it.
    """
    if rest[:1] == ["done"]:
        return "done"
    if not _two_words(rest):
        return "piece"
    return "correct" if any(w.partition("=")[0] == "--why" for w in rest) else "read"


_DECISIONS = ("scrap", "rework", "use-as-is", "remake")


class LazyGroup(click.Group):
    """A group that imports a command's module only when that command runs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"qlog.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        if ctx.resilient_parsing:  # a shell asks what may come next
            from qlog.cli.completion import teach

            teach(command)
        return command

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """The commands that may come next, from the table, without importing them; or pieces."""
        if incomplete.startswith("-"):
            return super().shell_complete(ctx, incomplete)
        from click.shell_completion import CompletionItem

        found = [
            CompletionItem(name, help=text)
            for name, (_, text) in COMMANDS.items()
            if name.startswith(incomplete)
        ]
        if found:
            return found
        from qlog.cli.completion import pieces_like

        return pieces_like(ctx, incomplete)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command offered for an unknown one."""
        name = args[0] if args else ""
        if name not in COMMANDS and self._is_piece(ctx, name):
            command = "read" if ctx.resilient_parsing else _of_piece(args[1:])
            args = [command, name, *args[2 if args[1:2] == ["done"] else 1 :]]
            name = args[0]
        known = not name or name.startswith("-") or name in COMMANDS
        if not known and not ctx.resilient_parsing:
            from qlog.intake.typed.places import nearest

            near = nearest(name, COMMANDS)
            raise click.UsageError(ToSay("error.no_command", name=name, near=near), ctx)
        return super().resolve_command(ctx, args)

    def _is_piece(self, ctx: click.Context, name: str) -> bool:
        """Whether a word that is no command names a piece, by its number or its mark."""
        if name[:1].isalpha() and name.rpartition("-")[2].isdecimal():
            return True
        if not name or name.startswith("-"):
            return False
        from qlog.cli.context import build_folder, load_plan
        from qlog.intake.typed.places import looks_like_piece

        try:
            build_folder(ctx.params.get("folder"))
            ctx.obj = ctx.params.get("folder")
            return looks_like_piece(load_plan(ctx), name)
        except Problem:  # no build here, or one that cannot be read: the commands say it
            return False

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


def _say_version(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked and not ctx.resilient_parsing:
        click.echo(f"qlog, version {__version__}")
        ctx.exit()


@click.command(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--build",
    "folder",
    metavar="DIR",
    envvar="QLOG_BUILD",
    help="The build's folder; by default this one, or the nearest above it with a build.toml.",
)
@click.option(
    "--person", metavar="NAME", envvar="QLOG_PERSON", help="Who enters, where several people do."
)
# The library's own option looks for translations of its texts, in every call.
@click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    is_eager=True,
    callback=_say_version,
    help="Show the version and exit.",
)
@click.pass_context
def qlog(ctx: click.Context, folder: str | None, person: str | None) -> None:  # noqa: ARG001
    """Log photos and readings of small machined batches; hand over the record.

    In a build, `qlog` alone says what is next.

    \b
    Example:
      qlog new candlesticks
      cd candlesticks
      qlog read foot 10
    """
    ctx.obj = folder
    if ctx.invoked_subcommand is None:
        from qlog.cli.numbers.what_next import what_next

        what_next(ctx)
    # https://no-color.org: any value but an empty one switches colour off.
    if os.environ.get("NO_COLOR"):
        ctx.color = False


def _refuse_bytes(args: Sequence[str]) -> None:
    """Refuse what the shell handed over and no text can hold: it could neither be kept nor said."""
    for word in args:
        try:
            word.encode("utf-8")
        except UnicodeEncodeError as error:
            shown = word.encode("utf-8", "backslashreplace").decode("utf-8")
            raise Problem(ToSay("error.utf_rename_file", shown=shown)) from error


def _english(key: str, facts: Mapping[str, object]) -> str:
    """The English text of what is said before anything else has asked for the catalogue."""
    from qlog.words.problems import english

    return english(key, facts)


if ToSay.worded is None:
    ToSay.worded = _english


def _words_of_call(args: Sequence[str] | None) -> Words:
    """The words of the build that the command was for."""
    from qlog.cli.spoilt import folder_of_call
    from qlog.cli.terminal.say import words_at

    return words_at(folder_of_call(sys.argv[1:] if args is None else args))


def _worded(what: object, args: Sequence[str] | None) -> str:
    """An error in the language of the build that the command was for."""
    from qlog.words.problems import in_words

    return in_words(_words_of_call(args), what)


def main(args: Sequence[str] | None = None) -> None:
    """Run the command line; exit status 0 fine, 1 a finding, 2 usage."""
    if any(stream is not None and stream.isatty() for stream in (sys.stdout, sys.stderr)):
        from qlog.cli.terminal.control_signs import guarded

        with guarded():
            _run(args)
    _run(args)


def _run(args: Sequence[str] | None) -> None:
    for stream in (sys.stdout, sys.stderr):
        # A Windows console or a pipe may not be UTF-8; an Ø must not end the program.
        if (getattr(stream, "encoding", None) or "utf-8").lower().replace("-", "") != "utf8":
            from qlog.cli.terminal.plain import make_plain

            make_plain(stream, json="--json" in (sys.argv if args is None else args))
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    speak(lambda: _words_of_call(args))
    try:
        _refuse_bytes(sys.argv[1:] if args is None else args)
        status = qlog.main(args=args, prog_name="qlog", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo(_worded(ToSay("error.stopped"), args), err=True)
        sys.exit(130)
    except click.ClickException as error:
        click.echo(refusal(error, _words_of_call(args)), err=True)
        sys.exit(2)
    except Problem as error:
        click.echo(f"qlog: {_worded(error, args)}", err=True)
        sys.exit(error.status)
    except BrokenPipeError:
        # The reader of a pipe (head, less) has gone: that is no error of ours.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        click.echo(f"qlog: {where}{_worded(error, args)}", err=True)
        sys.exit(2)
    except Exception as error:
        from qlog.cli.spoilt import said_of

        said = said_of(error, sys.argv[1:] if args is None else args)
        if said is None:
            raise
        click.echo(f"qlog: {_worded(said, args)}", err=True)
        sys.exit(2)
    sys.exit(status if isinstance(status, int) else 0)
