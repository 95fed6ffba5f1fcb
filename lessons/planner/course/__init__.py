"""Rounds: squads round stations of unequal length, golfers paired on the course."""
