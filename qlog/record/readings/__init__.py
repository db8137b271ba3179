"""Readings for other programs: rows, text and spreadsheets with every field described.

What a reader of the record sees is laid out elsewhere; `intake.files` reads such files.
"""
