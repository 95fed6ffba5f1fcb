"""The invented scenario, played through the same actions that a person's clicks call."""
