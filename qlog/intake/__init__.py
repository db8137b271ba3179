"""How it gets in: photos, typed and piped readings, CSV files, and the checks made on entry.

It turns raw input into logbook entries; what the entries mean is worked out elsewhere.
"""
