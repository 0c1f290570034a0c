"""What the tables of the definition may say: words that they share, edges of boards, hardware."""
