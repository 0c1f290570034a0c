"""The bench's server: who may ask, what is answered, and how it starts and stops.

Stands after the workbench. Nothing is decided here about a cabinet.
"""
