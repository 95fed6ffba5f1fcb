"""How little the squads of a school can walk, and plans that come near it."""
