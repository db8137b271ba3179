"""What every command shares on the terminal: prompts, keys, tables, strips, progress.

No command lives here.
"""
