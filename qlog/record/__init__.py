"""What is handed over: pages, charts, photo renditions and publishing.

It lays out what the review worked out and writes files; it never computes a verdict.
"""
