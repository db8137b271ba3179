"""Callouts as written on a drawing, read into exact limits and written back.

No build.toml and no published table lives here.
"""
