"""What marks a file as a logbook, and the version of its tables that this qlog writes."""

from __future__ import annotations

#: Marks the file as a logbook (SQLite application id, "qlog" in ASCII).
APPLICATION_ID = 0x716C6F67

#: Number of the newest migration in `migrations`; kept in SQLite's user_version.
VERSION = 9

#: What must be a table of its own: a view in its place may be without an end, or made up.
TABLES = (
    "entry", "revision", "reading", "gap", "start", "done", "setup", "disposition", "note", "photo",
    "placement", "clock", "gauge_check", "trial", "shipment", "assembly", "item_size", "sent",
    "kept_match", "renamed", "remade", "setting", "said",
)  # fmt: skip
