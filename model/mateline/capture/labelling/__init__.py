"""Paint told from damage: which colour every pixel of a face had, and how sure that is.

Stands after labels, before tracing. `labelled` is the road through it.
"""
