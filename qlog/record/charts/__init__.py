"""Charts as inline SVG: from plain values to places on paper.

No statistics are computed here.
"""
