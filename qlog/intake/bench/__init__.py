"""What is logged at the bench: readings, setups, decisions, shipments, assemblies, the stream.

What is typed is understood in `intake.typed`; nothing here prints.
"""
