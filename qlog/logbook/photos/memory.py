"""The C library keeps freed memory for the next photo instead of handing it back after each.

A photo of 12 megapixels asks for blocks of 3 to 12 MB, and glibc gives every block of that size
back to the system when it is freed: mapping and clearing the pages anew was a sixth of the time of
renditions. The peak is the same, since the next photo asks for the same blocks.
"""

from __future__ import annotations

import sys
from functools import cache

# mallopt(3), Linux manual pages: the parameters' numbers in malloc.h of glibc.
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
_BYTES = 32 << 20  # the greatest threshold that mallopt takes on 64 bit


@cache
def keep_freed_memory() -> bool:
    """Ask for it once in this process; False where the C library has no such setting."""
    if not sys.platform.startswith("linux"):
        return False
    import ctypes

    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError):  # musl and others
        return False
    return bool(mallopt(_MMAP_THRESHOLD, _BYTES)) and bool(mallopt(_TRIM_THRESHOLD, _BYTES))
