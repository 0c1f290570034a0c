"""What the bench keeps: the cabinet's files, each edit of them, and how to take it back."""
