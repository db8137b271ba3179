"""Commands that finish and keep: assemble, record, verify, backup.

Each parses, calls and prints.
"""
