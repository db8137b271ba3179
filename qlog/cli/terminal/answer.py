"""Answers for programs: one documented shape each, with its name and version in front."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping

#: Command -> version of its shape. A field that comes on top leaves it; one that goes, or means
#: something else, raises it. `qlog/manual/schemas` has a JSON Schema for each.
VERSIONS = {
    "plan": 1, "status": 1, "spread": 1, "drift": 1, "fit": 1, "match": 1, "stock": 1,
    "photo list": 1, "photo unplaced": 1, "cut": 1, "find": 1,
}  # fmt: skip


def say_json(command: str, said: Mapping[str, object]) -> None:
    """Write an answer to standard output: `form`, `version`, and what the command has to say."""
    head = {"form": f"qlog {command}", "version": VERSIONS[command]}
    json.dump({**head, **said}, sys.stdout, indent=2, ensure_ascii=False, default=str)
    sys.stdout.write("\n")
