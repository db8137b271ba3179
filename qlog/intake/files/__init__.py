"""Files of readings taken in: tables as spreadsheets write them.

A single typed value is understood in `intake.typed`.
"""
