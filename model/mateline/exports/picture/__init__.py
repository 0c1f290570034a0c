"""Pictures to look at."""
