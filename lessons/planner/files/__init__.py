"""A school and its plan as plain JSON."""
