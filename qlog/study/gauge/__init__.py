"""What a check or a repeatability study shows of an instrument.

The verdict on a piece is made in `study.conformity`.
"""
