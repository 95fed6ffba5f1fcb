"""System checks of this installation."""
