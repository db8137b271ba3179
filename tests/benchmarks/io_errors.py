"""Let the disk fail under every writing command: read and write errors (EIO), once or for good.

    python tests/benchmarks/io_errors.py [--runs 400] [--seed 1]

Linux with a C compiler. A small library of our own is loaded before the C library (LD_PRELOAD): the
reading, writing or syncing call of a chosen number, on a file below the build's folder, fails as
the system lets it fail when a disk is broken. A command then does its work or ends with status 2
and a word that advises nothing harmful; nothing that was there is lost, nothing is half entered,
and once the disk works again the same command goes through.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

SHIM = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

char eio_in[4096];              /* files below this folder */
long eio_on, eio_reads;         /* whether at all; reading calls, or writing and syncing ones */
long eio_at, eio_for_good;      /* the number of the call that fails (0: none), and all after it */
long eio_seen;                  /* calls so far */

static int fails(int fd, int reads)
{
    char link[64], name[4096];
    ssize_t n;
    if (!eio_on || reads != eio_reads) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    n = readlink(link, name, sizeof name - 1);
    if (n <= 0) return 0;
    name[n] = 0;
    if (strncmp(name, eio_in, strlen(eio_in))) return 0;
    eio_seen++;
    if (!eio_at || eio_seen < eio_at || (eio_seen > eio_at && !eio_for_good)) return 0;
    errno = EIO;
    return 1;
}
#define WRAP(type, name, reads, parameters, arguments)                        \
    type name parameters                                                      \
    {                                                                         \
        static type(*real) parameters;                                        \
        if (!real) real = (type(*) parameters)dlsym(RTLD_NEXT, #name);        \
        return fails(fd, reads) ? (type)-1 : real arguments;                  \
    }
WRAP(ssize_t, read, 1, (int fd, void *b, size_t n), (fd, b, n))
WRAP(ssize_t, pread, 1, (int fd, void *b, size_t n, off_t o), (fd, b, n, o))
WRAP(ssize_t, pread64, 1, (int fd, void *b, size_t n, off64_t o), (fd, b, n, o))
WRAP(ssize_t, write, 0, (int fd, const void *b, size_t n), (fd, b, n))
WRAP(ssize_t, pwrite, 0, (int fd, const void *b, size_t n, off_t o), (fd, b, n, o))
WRAP(ssize_t, pwrite64, 0, (int fd, const void *b, size_t n, off64_t o), (fd, b, n, o))
WRAP(ssize_t, sendfile, 0, (int fd, int i, off_t *o, size_t n), (fd, i, o, n))
WRAP(ssize_t, sendfile64, 0, (int fd, int i, off64_t *o, size_t n), (fd, i, o, n))
WRAP(int, fsync, 0, (int fd), (fd))
WRAP(int, fdatasync, 0, (int fd), (fd))
WRAP(int, ftruncate, 0, (int fd, off_t n), (fd, n))
WRAP(int, ftruncate64, 0, (int fd, off64_t n), (fd, n))
"""
LOADED = "QLOG_EIO_SHIM"


class Disk:
    """The switch of the library that was loaded before all others."""

    def __init__(self) -> None:
        self._shim = ctypes.CDLL(os.environ[LOADED])

    def _set(self, name: str, value: int) -> None:
        ctypes.c_long.in_dll(self._shim, f"eio_{name}").value = value

    def breaks(self, folder: Path, *, reads: bool, at: int, for_good: bool) -> None:
        """From now on, call number `at` below the folder fails; 0: they are only counted."""
        below = os.fsencode(folder)
        ctypes.memmove((ctypes.c_char * 4096).in_dll(self._shim, "eio_in"), below, len(below) + 1)
        for name, value in (("reads", reads), ("at", at), ("for_good", for_good), ("seen", 0)):
            self._set(name, int(value))
        self._set("on", 1)

    def works(self) -> int:
        """It works again; how many calls there were."""
        self._set("on", 0)
        return ctypes.c_long.in_dll(self._shim, "eio_seen").value


def load_shim() -> None:
    """Begin again with the library loaded, unless it is."""
    if LOADED in os.environ:
        return
    folder = Path(tempfile.mkdtemp())
    (folder / "eio.c").write_text(SHIM, encoding="ascii")
    library = str(folder / "eio.so")
    subprocess.run(
        ["cc", "-O1", "-shared", "-fPIC", "-o", library, str(folder / "eio.c"), "-ldl"], check=True
    )
    more = {LOADED: library, "LD_PRELOAD": library}
    os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **more})


def main() -> None:
    """Break, look, count, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    load_shim()
    from tests.kills import CASES, make_bench

    start, disk, chance = time.monotonic(), Disk(), random.Random(asked.seed)
    total: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        bench = make_bench(Path(name))
        each, more = divmod(asked.runs, len(CASES))
        for number, case in enumerate(CASES):
            folder = Path(name) / f"case{number}"
            folder.mkdir()
            told = _one_case(bench, case, folder, disk, chance, each + (number < more))
            total += told
            print(", ".join(f"{n} {what}" for what, n in told.items()), case.words, flush=True)
            shutil.rmtree(folder)
    print(
        f"{sum(total.values())} errors: {dict(total)}; nothing lost, nothing half entered, all "
        f"went through again; {time.monotonic() - start:.0f} s"
    )


def _one_case(bench, case, folder, disk, chance, runs) -> Counter[str]:  # type: ignore[no-untyped-def]
    from qlog.logbook.keeping.verify import verify
    from tests import kills
    from tests.conftest import run_qlog

    before, whole = kills._facts(bench.build), kills._whole(bench, case, folder)
    calls = {}
    for reads in (False, True):
        build, aside = kills._copy(bench, folder / "counted")
        disk.breaks(folder, reads=reads, at=0, for_good=False)
        run_qlog("--build", str(build), *bench.words(case, aside), stdin=case.typed)
        calls[reads] = disk.works()
        shutil.rmtree(folder / "counted")
    told: Counter[str] = Counter()
    for number in range(runs):
        reads, for_good = chance.random() < 0.35, chance.random() < 0.5
        run = folder / f"run{number}"
        build, aside = kills._copy(bench, run)
        words = ["--build", str(build), *bench.words(case, aside)]
        at = chance.randint(1, max(1, calls[reads]))
        where = f"{case.words!r}: {'reading' if reads else 'writing'} call {at}, {for_good=}"
        disk.breaks(run, reads=reads, at=at, for_good=for_good)
        try:
            ran = run_qlog(*words, stdin=case.typed)
        finally:
            disk.works()
        said = ran.out + ran.err
        assert ran.status in (0, 1, 2), f"{where}: {ran}"
        assert "Traceback" not in said, f"{where}: {ran}"
        advice = said.replace("only when the damage stays, `qlog restore`", "")
        assert "restore" not in advice and "no logbook" not in said, f"harmful: {where}: {ran}"
        found = verify(build, build / "logbook.db")
        assert found.damage == (), f"{where}: {ran}: {found.damage}"
        there = kills._facts(build)
        assert not before - there, f"lost: {where}: {ran}"
        assert not there - before - whole.new, f"entered by half: {where}: {ran}"
        if ran.status == 0 and case.says in ran.out and case.says:
            acknowledged = min(ran.out.count(case.says), whole.new.total())
            assert (there - before).total() >= acknowledged, f"acknowledged: {where}: {ran}"
        told["refused" if ran.status == 2 else "done, or a finding said"] += 1
        kills._again(case, whole, before, run, words, folder, f"{where}: {ran}")
        shutil.rmtree(run)
    return told


if __name__ == "__main__":
    main()
