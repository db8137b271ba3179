"""Sheets to print: one for an operation at the bench, one that goes with a parcel.

They are one file each; pages of the record stand in the room around it.
"""
