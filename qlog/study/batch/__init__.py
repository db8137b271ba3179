"""What the readings of one batch show together: spread, intervals, capability, outliers, charts.

Order of making as evidence of a drift is judged in `study.drift`.
"""
