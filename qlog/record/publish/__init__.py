"""Building, swapping in, summing, packing and checking a record.

What a page says is made in `record.pages`.
"""
