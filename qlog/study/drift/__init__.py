"""Whether a dimension drifts over the pieces of a setup, and where the coming pieces will fall.

A finding here is a value; its sentence is worded in `words`.
"""
