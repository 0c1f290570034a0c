"""Photos squared: a face laid flat at true scale by its outline, with the error to expect.

Stands after pictures and face pictures. The outline comes from the tape, the lens from the edges.
"""
