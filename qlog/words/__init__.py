"""How things are said: one catalogue a language, and every value and finding worded once.

Screen, sheet, card and record take their words from here. Nothing is judged or worked out here,
and nothing of the user's own text lives here.
"""
