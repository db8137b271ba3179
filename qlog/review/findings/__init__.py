"""Findings as values: what is out, missing, in doubt or short, one class a kind.

They carry what they are about and how much it weighs. How they are said lives in `words`.
"""
