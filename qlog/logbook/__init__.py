"""What happened: the append-only SQLite logbook, the original photos, and how both are kept safe.

No statistics and no printing live here, and no entry is ever changed or removed.
"""
