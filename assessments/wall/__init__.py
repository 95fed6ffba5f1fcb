"""The impact wall: in which order, how it looks, what is said of it, and as a sheet."""
