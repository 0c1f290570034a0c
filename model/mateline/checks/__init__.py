"""Checks: each returns findings and repairs nothing."""
