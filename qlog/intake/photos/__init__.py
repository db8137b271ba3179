"""Photos from cards and folders: found, read, hashed, placed.

Renditions for the record are made in `record.photos`.
"""
