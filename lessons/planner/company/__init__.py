"""Who moves together: golfers divided into squads."""
