"""Joints, stacks and finished items as they stand, and the choice of pieces for them.

The formulas are in `study`.
"""
