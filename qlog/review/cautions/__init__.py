"""What can hurt at an operation: processes recognised by their stems, each with its cautions.

Facts leave this room, as `Caution`; `words` says them. It reminds, and every list defers to the
machine's manual, safety data sheets, local rules and trained people.
"""
