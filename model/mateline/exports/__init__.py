"""Exports: one file a format; bytes depend on the job only."""
