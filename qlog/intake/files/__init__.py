"""Files of readings: what a spreadsheet or a list says, understood and entered.

A single typed value is understood in `intake.typed`; exported readings are written elsewhere.
"""
