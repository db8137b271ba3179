"""Typed text made into values: numbers with units, places, temperatures, times.

It is the one way in for every road; nothing here knows the logbook's contents.
"""
