"""What each page of both editions holds, handed to templates that only lay out.

Nothing here computes a figure of the build: `review` has done so.
"""
