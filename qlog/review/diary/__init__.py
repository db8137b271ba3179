"""What happened, day by day and piece by piece, and what of it answers a question.

Facts alone, each as it was logged; how they are said lives in `words`.
"""
