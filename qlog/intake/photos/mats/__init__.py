"""Mats: a printed sheet with numbered places, found in one photo of the batch and cut into pieces.

Sizes are never read off a mat: what stands on it is nearer to the camera than the paper.
"""
