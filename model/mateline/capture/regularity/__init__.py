"""What was traced as the painter meant it: circles round, equal ones equal, lines straight on."""
