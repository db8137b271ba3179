"""Commands that show what the numbers say: status, spread, drift, gauge, fit, match.

Each parses, calls and prints.
"""
