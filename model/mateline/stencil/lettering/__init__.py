"""What is written and marked on the board."""
