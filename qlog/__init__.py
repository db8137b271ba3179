"""Photo and measurement quality log for small machined batches."""

__version__ = "0.1.0"
