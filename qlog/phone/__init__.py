"""The phone at the machine: a page on the home network, its guard, and what it sends entered.

No rule of the bench lives here: readings, checks, verdicts and words are those of the stream.
"""
