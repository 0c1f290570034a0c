"""From what is left of the art to a drawing: photos squared, paint told from damage, traced.

Stands after the cabinet, whose faces it needs, and after borders; the drawings that it writes are
read like any other. Knows no definition.
"""
