"""Changing build.toml for its owner: lines put in, values exchanged, the rest left as it stands.

Here lives what writes the plan; what a plan means is read in `build_file`, and nobody is asked.
"""
