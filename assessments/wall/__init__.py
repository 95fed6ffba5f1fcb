"""The impact wall: what it looks like (tiles, sheet) and in which order (ranking). No database."""
