"""Recordings with nothing inside but sound, and the proof of it.

What a recorder writes beside the sound (names, places, pictures, dates) does not come along.
"""
