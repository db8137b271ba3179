"""The face: one module a noun; each parses, calls and prints.

No computation and no SQL live here, and a command imports only what it uses.
"""
