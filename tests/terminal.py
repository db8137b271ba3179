"""A qlog command on a pseudo-terminal, driven as a person at the bench drives it (POSIX only)."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType

QLOG = [sys.executable, "-m", "qlog"]
TOP = Path(__file__).parent.parent


def _take_terminal() -> None:
    """Make standard input the session's terminal, so that Ctrl-C reaches the process.

    A shell starts what runs behind it with Ctrl-C ignored, and children inherit that: undone here.
    """
    import fcntl
    import termios

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Terminal:
    """One process whose keyboard and screen are ours."""

    def __init__(self, *words: str, folder: Path) -> None:
        import pty
        import termios

        self._master, slave = pty.openpty()
        # The kernel throws output away on Ctrl-C, after the signal: on a busy machine that could
        # be the very words with which the program answers it.
        modes = termios.tcgetattr(slave)
        modes[3] |= termios.NOFLSH
        termios.tcsetattr(slave, termios.TCSANOW, modes)
        self._process = subprocess.Popen(
            [*QLOG, "--build", str(folder), *words],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            preexec_fn=_take_terminal,
            env=os.environ | {"NO_COLOR": "1", "TERM": "dumb", "PYTHONPATH": str(TOP)},
        )
        os.close(slave)
        self.screen = ""
        self._seen = 0

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.kill()
        os.close(self._master)

    def type(self, text: str) -> None:
        """Press keys; Enter is a newline, as gauges send it."""
        os.write(self._master, text.encode())

    def expect(self, text: str, within: float = 30) -> str:
        """Wait until the screen shows a text behind what was expected before; what stands there.

        Raises AssertionError with the screen when it does not come.
        """
        end = time.monotonic() + within
        while text not in self.screen[self._seen :]:
            if not self._read(end - time.monotonic()):
                raise AssertionError(f"no {text!r} on the screen:\n{self.screen[self._seen :]}")
        start = self._seen
        self._seen = self.screen.index(text, start) + len(text)
        return self.screen[start : self._seen]

    def answer(self, text: str, expected: str) -> str:
        """Press keys and wait for what they bring."""
        self.type(text)
        return self.expect(expected)

    def settle(self, quiet: float) -> None:
        """Take what comes until nothing has come for so many seconds."""
        while self._read(max(quiet, 0.001)):
            pass

    @property
    def descriptor(self) -> int:
        """The terminal itself."""
        return self._master

    def used(self) -> float:
        """Seconds of processor that the process has used; Linux only."""
        told = Path(f"/proc/{self._process.pid}/schedstat").read_text(encoding="ascii")
        return int(told.split()[0]) / 1e9

    def signal(self, number: int) -> None:
        """Send the process a signal."""
        os.kill(self._process.pid, number)

    def kill(self) -> str:
        """End the process at this instant; all that it ever showed."""
        if self._process.poll() is None:
            os.kill(self._process.pid, signal.SIGKILL)
            self._process.wait()
        while self._read(0.05):
            pass
        return self.screen

    def ended(self, within: float = 30) -> int:
        """The exit status, once it has ended by itself.

        Raises AssertionError with the screen when it goes on.
        """
        end = time.monotonic() + within
        while self._process.poll() is None:
            if time.monotonic() > end:
                raise AssertionError(f"still running:\n{self.screen[self._seen :]}")
            self._read(0.05)
        while self._read(0.05):
            pass
        return self._process.returncode

    def interrupted(self) -> int:
        """Press Ctrl-C until it ends; the exit status.

        Python's input() shows its prompt and then waits: a Ctrl-C between the two is noticed with
        the next key only, so it is pressed again, as a person would.
        """
        for _ in range(60):
            self.type("\x03")
            end = time.monotonic() + 0.5
            while time.monotonic() < end:
                self._read(0.02)
                if self._process.poll() is not None:
                    return self.ended()
        raise AssertionError(f"still running:\n{self.screen[self._seen :]}")

    def _read(self, wait: float) -> bool:
        """Take what is on the screen; False when nothing came, or nothing will come any more."""
        if wait <= 0 or not select.select([self._master], [], [], wait)[0]:
            return False
        try:
            data = os.read(self._master, 65536)
        except OSError:  # Linux: the other side is closed
            return False
        self.screen += data.decode("utf-8", "replace").replace("\r\n", "\n")
        return bool(data)
