"""From a problem to the flat arrays that compiled loops read."""
