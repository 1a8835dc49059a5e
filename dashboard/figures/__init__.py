"""Charts: pure functions from a view and filters to a figure."""
