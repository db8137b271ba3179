"""How the build stands: drawing and logbook put through the study, as one typed picture.

Screen and record show this picture; no page, no terminal layout and no formula lives here.
"""
