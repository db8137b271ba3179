"""From nothing to the first reading on a terminal: keys, words and seconds.

Call: python -m tests.benchmarks.first_reading
A person is taken to type 3 keys a second and to think 4 seconds before each answer. Ends with
status 1 when the first reading takes more than 2 minutes by that, or more than 40 words.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from tests.cli.test_new import ANSWERS
from tests.terminal import Terminal

KEYS_A_SECOND, THINKING = 3, 4


def main() -> int:
    """Begin a build and read its first piece; print what it took."""
    typed = ["qlog new b"]
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        with Terminal("new", str(top / "b"), folder=top) as t:
            for question, answer in ANSWERS:
                t.expect(question)
                t.type(f"{answer}\n")
                typed.append(answer)
            t.expect("qlog start cup 10")
            t.ended()
        typed += ["cd b", "qlog start cup 10", "qlog read", "22.021"]
        with Terminal("start", "cup", "10", folder=top / "b") as t:
            t.ended()
        with Terminal("read", folder=top / "b") as t:
            t.expect("cup-1 bore mm> ")
            t.type("22.021\n")
            t.expect("good")
    machine = time.monotonic() - start
    keys = sum(len(line) + 1 for line in typed)
    words = sum(len(line.split()) for line in typed)
    seconds = keys / KEYS_A_SECOND + THINKING * len(typed) + machine
    print(f"{len(typed)} lines, {words} words, {keys} keys; qlog itself {machine:.1f} s")
    print(f"at {KEYS_A_SECOND} keys a second and {THINKING} s of thought a line: {seconds:.0f} s")
    return int(seconds > 120 or words > 40)


if __name__ == "__main__":
    sys.exit(main())
