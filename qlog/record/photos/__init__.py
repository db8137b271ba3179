"""Renditions of photos with nothing inside but pixels, and the proof of it.

Where a photo belongs is decided in `intake.photos`.
"""
