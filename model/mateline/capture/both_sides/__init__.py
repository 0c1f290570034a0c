"""Both sides of a cabinet, each damaged elsewhere, joined into one set of labels for each."""
