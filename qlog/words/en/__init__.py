"""The catalogue in English: texts by key, one module for each place that needs them.

No code lives here, and nothing of the user's own text.
"""
