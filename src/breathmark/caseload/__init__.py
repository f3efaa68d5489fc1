"""A clinic's caseload: many patients at once, stopped and taken up again at will."""
