"""One reading against its limits: verdict, uncertainty budget, temperature, known bias.

Nothing here looks at more than one reading.
"""
