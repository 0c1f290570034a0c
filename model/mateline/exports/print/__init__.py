"""Files to print at true size."""
