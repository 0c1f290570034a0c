"""The cut path: each border once, in an order that can be cut."""
