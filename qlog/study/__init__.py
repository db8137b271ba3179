"""What it means: verdicts, spread, drift, gauges, joints and stacks, as pure functions.

Numbers in, findings out: nothing here opens a file or a database, or imports another room
besides the drawing.
"""
