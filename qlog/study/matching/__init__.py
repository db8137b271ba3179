"""Which pieces go together into which item, so that fits are right and finished items match.

One pair alone is judged in `study.fit`.
"""
