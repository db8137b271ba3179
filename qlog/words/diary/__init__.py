"""The diary said, and questions to it understood, in the words of every catalogue.

What happened and what of it answers a question is worked out in `review`.
"""
