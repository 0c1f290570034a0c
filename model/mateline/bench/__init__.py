"""The bench: a local page on which a cabinet is measured, built, placed, traced and watched.

Stands after the exports, before the commands. The folder's files stay the one truth: the page, the
commands and an editor can be used in turn.
"""
