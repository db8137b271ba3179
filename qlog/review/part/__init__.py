"""One part's batch as it stands: series, setups, stock, history, what is next.

Nothing here prints or reads a file.
"""
