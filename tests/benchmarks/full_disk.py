"""Run every writing command on a disk that is full, and look after each that nothing is lost.

    sudo python tests/benchmarks/full_disk.py [--megabytes 8]

Mounts a small file system of its own (Linux, root). A command either does its work or ends with
status 2 and a word; the logbook verifies after each, and with room again it goes through.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from qlog.logbook.keeping.verify import verify
from tests.conftest import run_qlog
from tests.kills import CASES, make_bench

#: Bytes that are left free, from none to enough.
FREE = (0, 4096, 12288, 40960, 120000)


def main() -> None:
    """Fill, write, look."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--megabytes", type=int, default=8)
    size = parser.parse_args().megabytes
    refused = done = 0
    with tempfile.TemporaryDirectory() as name:
        disk = Path(name)
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}m", "tmpfs", name], check=True)
        try:
            for case in CASES:
                for free in FREE:
                    (disk / "work").mkdir()
                    bench = make_bench(disk / "work")
                    words = ["--build", str(bench.build), *bench.words(case, disk / "work/aside")]
                    _fill(disk / "filler", free)
                    ran = run_qlog(*words, stdin=case.typed)
                    assert ran.status in (0, 1, 2), (case.words, ran)
                    assert "Traceback" not in ran.err + ran.out, (case.words, ran)
                    refused += ran.status == 2
                    done += ran.status != 2
                    found = verify(bench.build, bench.build / "logbook.db")
                    assert found.damage == (), (case.words, free, found.damage)
                    (disk / "filler").unlink()
                    again = run_qlog(*words, stdin=case.typed)
                    assert again.status in (0, 1) or ran.status != 2, (case.words, free, again)
                    subprocess.run(["rm", "-rf", str(disk / "work")], check=True)
                print(f"{case.words}", flush=True)
        finally:
            os.chdir("/")
            subprocess.run(["umount", "-l", name], check=True)
    print(f"{refused} refused for want of room, {done} done; nothing lost, all went through again")


def _fill(path: Path, free: int) -> None:
    with path.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(b"\0" * 4096)
        except OSError:
            pass
        file.truncate(max(0, file.tell() - free))


if __name__ == "__main__":
    main()
