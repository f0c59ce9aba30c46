"""Documents: what a plan turns into."""
