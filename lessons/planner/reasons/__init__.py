"""Why there is no plan, in words, and what could give."""
