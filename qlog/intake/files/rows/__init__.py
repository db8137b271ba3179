"""Rows of a table made into readings: pieces in rows, one reading a line, turned, our own export.

How a file is opened and what its headings mean stands in the room around it.
"""
