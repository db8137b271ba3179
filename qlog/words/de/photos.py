"""Photos as the commands print them, in German."""

TEXTS: dict[str, str] = {}
