"""Commands used beside the machine: start, read, done, setup, correct and their like.

Each parses, calls and prints.
"""
