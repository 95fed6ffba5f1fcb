"""What a timetable breaks and what it is worth, whoever made it; no search."""
