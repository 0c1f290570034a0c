"""What is done at the edges of boards."""
