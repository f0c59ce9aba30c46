"""At the bench: the order of work."""
