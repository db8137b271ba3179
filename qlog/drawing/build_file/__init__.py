"""build.toml read into the typed plan, every mistake of the file named with its line.

What the plan means once it is read lives in `drawing.plan`.
"""
