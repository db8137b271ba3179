"""The one error that every room may raise for bad input: what, where, what to do."""

from __future__ import annotations


class Problem(Exception):
    """Something the user has to put right; shown on stderr without a traceback.

    `status` is the exit status: 2 when the call or its input cannot be taken (nothing was
    written), 1 when the call was fine and found something out, missing or damaged.
    """

    status = 2
