"""The pattern: shapes made into regions that tile an outline, each border once."""
