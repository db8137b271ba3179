"""Published tables and rules of limits: ISO 286, 2768-1, 965, expansion; each row has its source.

Nothing here reads a callout or a build.toml.
"""
