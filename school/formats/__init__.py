"""How days are written where a language has no way of its own that we like."""
