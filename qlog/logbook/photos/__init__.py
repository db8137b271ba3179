"""The original photos: kept byte for byte, opened safely, and when each was taken.

What a photo shows is decided in the intake; smaller copies are made by the record.
"""
