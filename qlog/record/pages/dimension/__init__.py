"""One dimension as its page shows it: rows of readings, figures, chart.

What is worked out stands in `review`; here it is put into words and places.
"""
