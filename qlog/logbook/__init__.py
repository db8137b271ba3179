"""What happened: the append-only SQLite logbook, the original photos, verify and backup.

No statistics and no printing live here, and no entry is ever changed or removed.
"""
