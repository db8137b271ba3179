"""What should be: callouts, limits, the published tables and the typed plan of build.toml.

Nothing here knows of readings, photos, databases or pages, and nothing here imports another
qlog package.
"""
