"""Commands for photos and the cards that place them.

Each parses, calls and prints.
"""
