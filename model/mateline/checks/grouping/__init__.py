"""What becomes of findings once all are there: settled ones apart, one cause one finding."""
