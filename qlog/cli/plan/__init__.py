"""Commands that begin a build and show its plan, and the example build.

Each parses, calls and prints.
"""
