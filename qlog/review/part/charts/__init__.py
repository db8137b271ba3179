"""What the charts of a batch show: control limits, acceptance limits, what changed on the way.

Nothing is decided here: verdicts come from the readings, drift from the trend test.
"""
