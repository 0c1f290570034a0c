"""The pages of the book for the wall: how a face is set on one, its labels, lists and legend."""
