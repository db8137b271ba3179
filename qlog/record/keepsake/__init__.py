"""The recipient's edition: what it may say, picked out field by field, and its pages.

Its templates are given a `Keepsake` and nothing else, so that nothing private can slip through.
"""
