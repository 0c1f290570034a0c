"""The page that tells how a set of pieces is laid on its face: for a file, the book and paper."""
