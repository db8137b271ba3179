"""Pages to look something up in: the diary, the photos, each piece with everything about it.

What is listed and in which order comes from `review`; here it is put into words and cut into pages.
"""
