"""Photos as the commands print them, in English."""

TEXTS: dict[str, str] = {}
