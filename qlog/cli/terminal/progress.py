"""A progress bar on the terminal, for what may take over a second; silent when piped."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A function to call with (done, in all); draws on stderr only when that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda _done, _total: None
        return
    from rich.console import Console
    from rich.progress import Progress

    # Lines printed meanwhile stay on standard output when that goes into a file or a pipe.
    both = sys.stdout.isatty()
    with Progress(
        console=Console(file=getattr(sys.stderr, "unguarded", sys.stderr)),
        transient=True,
        redirect_stdout=both,
    ) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
