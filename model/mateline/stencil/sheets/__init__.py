"""Sheets of board: joins, loads of a machine's bed, spare pieces."""
