"""Joints and stacks: clearance of pairs, overall sizes, and what to aim at for the next piece.

The choice of pieces for whole items is made in `study.matching`.
"""
