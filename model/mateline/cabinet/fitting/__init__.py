"""Hardware fitted to the boards: places found with a tape, over joints, about the middle plane."""
