"""Instruments as they stand, and readings judged by what is known of them.

The formulas are in `study`.
"""
