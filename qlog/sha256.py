"""SHA-256 without the cryptography library that `hashlib` loads when it is imported.

Loading it is a thirtieth of the time of one reading. Python has the same function built in, as the
module on which `hashlib` itself falls back; where a Python keeps it elsewhere, it is `hashlib`'s.
For what is short: files are summed by `hashlib`, whose library is quicker on many bytes.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hashlib import sha256
else:
    try:
        if sys.version_info >= (3, 12):
            from _sha2 import sha256
        else:
            from _sha256 import sha256
    except ImportError:
        from hashlib import sha256

__all__ = ["sha256"]
