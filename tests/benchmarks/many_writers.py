"""Four processes enter 10,000 notes into one log together; none is lost and the chain holds.

    python tests/benchmarks/many_writers.py [--entries 10000] [--processes 4]

Ends with status 1 when an entry is lost, told twice, or not proven.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from qlog.logbook.facts import Note
from qlog.logbook.keeping.audit import audit
from qlog.logbook.store import Logbook, create

WRITE = """\
import sys; sys.path.insert(0, sys.argv[4])
from pathlib import Path
from qlog.logbook.facts import Note
from qlog.logbook.store import Logbook
with Logbook(Path(sys.argv[1])) as log:
    for n in range(int(sys.argv[3])):
        log.append(Note("cup", None, n, sys.argv[2]))
"""


def main() -> None:
    """Write together, count, prove."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=10_000)
    parser.add_argument("--processes", type=int, default=4)
    asked = parser.parse_args()
    each = asked.entries // asked.processes
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.db"
        create(path)
        top = str(Path(__file__).parents[2])
        writers = [
            subprocess.Popen([sys.executable, "-c", WRITE, str(path), f"w{n}", str(each), top])
            for n in range(asked.processes)
        ]
        failed = sum(writer.wait() != 0 for writer in writers)
        with Logbook(path) as log:
            told = [(e.fact.text, e.fact.piece) for e in log.live(Note)]
        damage = audit(path).damage
    wanted = {(f"w{n}", piece) for n in range(asked.processes) for piece in range(each)}
    lost = len(wanted - set(told))
    print(
        f"{len(told)} entries by {asked.processes} processes, {lost} lost, "
        f"{len(told) - len(set(told))} twice, {failed} processes failed, {len(damage)} findings; "
        f"{time.monotonic() - start:.0f} s"
    )
    sys.exit(bool(lost or failed or damage or len(told) != len(wanted)))


if __name__ == "__main__":
    main()
